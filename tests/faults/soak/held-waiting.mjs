/** What the held clock waits for, without looking again and again: whatever else runs here wants the processor. */
import fs from "node:fs";

export function waiting({ setTimeout, clearTimeout }) {
  let waiters = [];
  const poke = () => {
    const woken = waiters;
    waiters = [];
    for (const wake of woken) wake();
  };
  /** Whether it is over within so many real milliseconds; looked at whenever something happens. */
  async function waitFor(isOver, ms) {
    if (isOver()) return true;
    let late = false;
    const timer = setTimeout(() => {
      late = true;
      poke();
    }, ms);
    while (!isOver() && !late) await new Promise((wake) => waiters.push(wake));
    clearTimeout(timer);
    return isOver();
  }
  return { poke, waitFor };
}

/** What is answered at once here, by the same call without a thread: a held clock has nothing to gain from one. */
const AT_ONCE = {
  ...{ lstat: fs.lstatSync, readdir: fs.readdirSync, realpath: fs.realpathSync },
  ...{ stat: fs.statSync, statfs: fs.statfsSync },
};
const OF_FILES = ["access", "chmod", "chown", "mkdir", "readFile", "rename", "rm", "unlink", "writeFile"];
const OF_HANDLES = ["datasync", "readFile", "stat", "sync", "write", "writeFile"];

/** Counts what is asked of files and not answered yet. */
export function filesInHand(poke) {
  let inHand = 0;
  const counted = (work) =>
    function (...args) {
      inHand += 1;
      const over = () => {
        inHand -= 1;
        // Whoever waited for the file asks for the next thing first.
        if (inHand === 0) setImmediate(poke);
      };
      const result = work.apply(this, args);
      result.then(over, over);
      return result;
    };
  const take = (object, names) => {
    for (const name of names) object[name] = counted(object[name]);
  };
  take(fs.promises, OF_FILES);
  const open = counted(fs.promises.open);
  fs.promises.open = async (...args) => {
    const handle = await open(...args);
    // Its own, where all else is the prototype's: who reads a sensor has its value once the file is closed.
    handle.close = counted(handle.close);
    return handle;
  };
  for (const [name, work] of Object.entries(AT_ONCE)) fs.promises[name] = async (...args) => work(...args);
  fs.promises.open("/dev/null", "r").then((handle) => {
    const handles = Object.getPrototypeOf(handle);
    take(handles, OF_HANDLES);
    handles.read = async function (buffer, offset, length, position) {
      return { bytesRead: fs.readSync(this.fd, buffer, offset, length, position), buffer };
    };
    return handle.close();
  });
  return { none: () => inHand === 0 };
}
