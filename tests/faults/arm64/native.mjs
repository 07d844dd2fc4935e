/** Uses every package of the station that is compiled for its processor, and prints what came of it, as JSON. */
import { execFileSync } from "node:child_process";
import { closeSync, mkdtempSync, openSync, readSync, rmSync, writeSync } from "node:fs";
import { createRequire } from "node:module";
import { endianness, tmpdir } from "node:os";
import { join } from "node:path";
import { hash, verify } from "@node-rs/argon2";
import Database from "better-sqlite3";
import { Gpio } from "onoff";
import { SerialPort } from "serialport";
import sharp from "sharp";

const { Epoll } = createRequire(import.meta.url)("epoll");

function sqlite() {
  const db = new Database(":memory:");
  db.exec("CREATE TABLE t (v REAL)");
  const values = [0.1, 1 / 3, 5e-324, 1.7976931348623157e308, -0.1];
  for (const value of values) db.prepare("INSERT INTO t VALUES (?)").run(value);
  const kept = db.prepare("SELECT v FROM t").pluck().all();
  const version = db.prepare("SELECT sqlite_version()").pluck().get();
  db.close();
  return { version, same: kept.every((value, i) => Object.is(value, values[i])) };
}

/** What comes through a named pipe, once epoll has said that there is something. */
async function epoll() {
  const folder = mkdtempSync(join(tmpdir(), "epoll-"));
  const path = join(folder, "pipe");
  execFileSync("mkfifo", [path]);
  const pipe = openSync(path, "r+");
  const buffer = Buffer.alloc(4);
  try {
    return await new Promise((resolve, reject) => {
      const poller = new Epoll((error, fd) => {
        poller.remove(fd).close();
        if (error) reject(error);
        else resolve(buffer.toString("utf8", 0, readSync(fd, buffer)));
      });
      poller.add(pipe, Epoll.EPOLLIN);
      writeSync(pipe, "edge");
    });
  } finally {
    closeSync(pipe);
    rmSync(folder, { recursive: true });
  }
}

async function picture() {
  const create = { width: 64, height: 48, channels: 3, background: { r: 119, g: 119, b: 119 } };
  const jpeg = await sharp({ create }).jpeg().toBuffer();
  const { data, info } = await sharp(jpeg).raw().toBuffer({ resolveWithObject: true });
  return { width: info.width, height: info.height, grey: data[0] };
}

const hashed = await hash("a passphrase", { memoryCost: 19 * 1024, timeCost: 2, parallelism: 1 });
console.log(
  JSON.stringify({
    arch: process.arch,
    endianness: endianness(),
    sqlite: sqlite(),
    serialPorts: Array.isArray(await SerialPort.list()),
    epoll: await epoll(),
    gpio: typeof Gpio.accessible,
    argon2: [await verify(hashed, "a passphrase"), await verify(hashed, "another")],
    picture: await picture(),
  }),
);
