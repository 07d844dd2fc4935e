import { AppError } from "../../errors.js";

/**
 * The bytes of a spreadsheet as text, a piece at a time.
 * @throws AppError "import-refused" where they are too many, or not text in UTF-8
 */
export async function* textOf(bytes: AsyncIterable<Uint8Array>, mostBytes: number): AsyncGenerator<string> {
  const decoder = new TextDecoder("utf-8", { fatal: true });
  let count = 0;
  try {
    for await (const chunk of bytes) {
      count += chunk.byteLength;
      if (count > mostBytes)
        throw new AppError("import-refused", `The file has more than ${mostBytes / 1e6} MB: divide it.`);
      yield decoder.decode(chunk, { stream: true });
    }
    yield decoder.decode();
  } catch (error) {
    if (!(error instanceof TypeError)) throw error;
    throw new AppError("import-refused", "The file is not text in UTF-8: save it as CSV (UTF-8).");
  }
}
