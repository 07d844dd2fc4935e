import { open } from "node:fs/promises";

/** Reads the text of one attribute file; rejects with the system's error. A parameter of the drivers, so that a test can fail it. */
export type ReadText = (path: string) => Promise<string>;

/** A page: no sysfs attribute is longer. */
const ATTRIBUTE_BYTES = 4096;

/**
 * One open and one read, one after the other, on one of the threads that Node.js has for files: a file that does not answer
 * holds that thread, and cannot be called off. Each read of such a file may start a conversion in the sensor, so there is never a second one to
 * look for the end, and a file that is not an attribute at all cannot fill the memory.
 */
export const readSysText: ReadText = async (path) => {
  const file = await open(path, "r");
  try {
    const buffer = Buffer.alloc(ATTRIBUTE_BYTES);
    const { bytesRead } = await file.read(buffer, 0, ATTRIBUTE_BYTES, null);
    return buffer.toString("latin1", 0, bytesRead);
  } finally {
    await file.close();
  }
};
