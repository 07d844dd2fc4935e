/** A writing thread that hangs as one does whose disk no longer answers the kernel: at each deed that says for how long. */
import { parentPort } from "node:worker_threads";
import "../../.build/station/journal/writer-thread.js";

parentPort.on("message", ({ name, params }) => {
  const hangMs = name === "commit" ? params.parcel.action?.params?.detail?.hangMs : undefined;
  if (hangMs > 0) Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0, hangMs);
});
