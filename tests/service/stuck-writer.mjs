/** A writing thread that hangs as one does whose disk no longer answers the kernel: at each deed that says for how long. */
import { parentPort } from "node:worker_threads";
import "../../.build/station/journal/writer-thread.js";

parentPort.on("message", ({ name, params }) => {
  const parcels = name === "commit" ? params.parcels : [];
  const hangMs = parcels.map(({ action }) => action?.params?.detail?.hangMs).find((ms) => ms > 0);
  if (hangMs !== undefined) Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0, hangMs);
});
