import { execFileSync } from "node:child_process";
import { mkdirSync, mkdtempSync, renameSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, test } from "vitest";
import type { Source } from "../../station/model/source.js";
import { createKernelSensor, type KernelSensorDeps } from "../../station/sources/kernel-sensor/device.js";
import { kernelSensorEntrySchema } from "../../station/sources/kernel-sensor/entry.js";
import { readSysText } from "../../station/sources/sys-text.js";
import { realClock, Witness } from "./witness.js";

let sysRoot: string;
let witness: Witness;
let source: Source | null;

function put(folder: string, files: Record<string, string>): string {
  const path = join(sysRoot, folder);
  mkdirSync(path, { recursive: true });
  for (const [name, text] of Object.entries(files)) {
    writeFileSync(join(path, `.${name}`), text);
    renameSync(join(path, `.${name}`), join(path, name));
  }
  return path;
}

const SHT = { name: "sht3x\n", temp1_input: "21500\n", humidity1_input: "54760\n" };

function create(entry: object, deps: Partial<KernelSensorDeps> = {}, every_s = 0.01): Source {
  const parsed = kernelSensorEntrySchema.parse({ id: "room", driver: "kernel-sensor", ...entry });
  source = createKernelSensor({ ...parsed, every_s }, { clock: realClock, sysRoot, pauseMs: 1, ...deps });
  return source;
}

const failing = (code: string) => Object.assign(new Error(`${code}: as the kernel would`), { code });

beforeEach(() => {
  sysRoot = mkdtempSync(join(tmpdir(), "sys-"));
  witness = new Witness();
});

afterEach(async () => {
  await source?.stop();
  rmSync(sysRoot, { recursive: true });
});

describe("hwmon", () => {
  test("is found by its name, whatever its number, and read in milli units", async () => {
    put("class/hwmon/hwmon0", { name: "cpu_thermal\n", temp1_input: "48000\n" });
    put("class/hwmon/hwmon7", SHT);
    create({ subsystem: "hwmon", name: "sht3x" }).start(witness);
    const humidity = witness.nextValue("humidity");
    expect(await witness.nextValue("temperature")).toBeCloseTo(21.5, 9);
    expect(await humidity).toBeCloseTo(54.76, 9);
  });

  test("missing: every point it could have is marked, since nobody knows which it has", async () => {
    put("class/hwmon/hwmon0", { name: "cpu_thermal\n", temp1_input: "48000\n" });
    const made = create({ subsystem: "hwmon", name: "sht3x" });
    made.start(witness);
    await witness.nextReading((raw) => raw.point === "humidity" && "fault" in raw && raw.fault === "missing");
    expect(made.status()).toMatchObject({
      state: "backing-off",
      reason: "missing",
      detail: expect.stringContaining("cpu_thermal"),
    });
  });

  test("unplugged while open: both points go bad", async () => {
    const folder = put("class/hwmon/hwmon1", SHT);
    create({ subsystem: "hwmon", name: "sht3x" }).start(witness);
    await witness.nextValue("humidity");
    rmSync(folder, { recursive: true });
    await witness.nextReading(
      (raw) => raw.point === "temperature" && "fault" in raw && raw.fault === "missing",
    );
    await witness.nextReading((raw) => raw.point === "humidity" && "fault" in raw && raw.fault === "missing");
  });

  test("recovered: found again under another number", async () => {
    const folder = put("class/hwmon/hwmon1", SHT);
    const made = create({ subsystem: "hwmon", name: "sht3x" });
    made.start(witness);
    await witness.nextValue("temperature");
    rmSync(folder, { recursive: true });
    await witness.nextFault("missing");
    put("class/hwmon/hwmon4", { ...SHT, temp1_input: "-10500\n" });
    expect(await witness.nextValue("temperature")).toBeCloseTo(-10.5, 9);
    expect(made.status().state).toBe("open");
  });

  test("silent: a read that does not come back is timed out", async () => {
    const folder = put("class/hwmon/hwmon1", SHT);
    const file = join(folder, "temp1_input");
    rmSync(file);
    execFileSync("mkfifo", [file]);
    const made = create({ subsystem: "hwmon", name: "sht3x" }, { limitMs: 60 });
    made.start(witness);
    await witness.nextFault("timed-out");
    expect(made.status().state).toBe("silent");
    writeFileSync(file, "1\n");
    rmSync(file);
    put("class/hwmon/hwmon1", SHT);
    expect(await witness.nextValue("temperature")).toBeCloseTo(21.5, 9);
  });

  test("silent: however long it hangs, one file at a time is being read, so one thread is held", async () => {
    put("class/hwmon/hwmon1", SHT);
    let inHand = 0;
    let most = 0;
    let letGo = () => {};
    const readText = async (path: string) => {
      if (!path.endsWith("_input")) return readSysText(path);
      inHand += 1;
      most = Math.max(most, inHand);
      await new Promise<void>((resolve) => {
        letGo = resolve;
      });
      inHand -= 1;
      return "1\n";
    };
    const made = create({ subsystem: "hwmon", name: "sht3x" }, { readText, limitMs: 20 }, 0.005);
    made.start(witness);
    for (let i = 0; i < 10; i += 1) await witness.nextFault("timed-out");
    expect(most).toBe(1);
    await made.stop();
    letGo();
  });

  test("stop cuts the tries short", async () => {
    put("class/hwmon/hwmon1", { name: "sht3x\n", temp1_input: "21500\n" });
    let tries = 0;
    let fail = (_: Error) => {};
    const readText = async (path: string) => {
      if (!path.endsWith("temp1_input")) return readSysText(path);
      tries += 1;
      return new Promise<string>((_, reject) => {
        fail = reject;
      });
    };
    const made = create({ subsystem: "hwmon", name: "sht3x" }, { readText });
    made.start(witness);
    await expect.poll(() => tries).toBe(1);
    const stopped = made.stop();
    fail(failing("EIO"));
    await stopped;
    expect(tries).toBe(1);
  });

  test.each([
    ["a word", "n/a\n", "garbled"],
    ["nothing", "", "empty"],
    ["two numbers", "1 2\n", "garbled"],
  ])("garbage: %s in place of a number makes that point bad and leaves the other", async (_, text, fault) => {
    put("class/hwmon/hwmon1", { ...SHT, humidity1_input: text });
    const made = create({ subsystem: "hwmon", name: "sht3x" });
    made.start(witness);
    await witness.nextReading((raw) => raw.point === "humidity" && "fault" in raw && raw.fault === fault);
    expect(await witness.nextValue("temperature")).toBeCloseTo(21.5, 9);
    expect(made.status()).toMatchObject({ state: "open", reason: fault });
  });

  test.each([
    ["EIO", "read-error"],
    ["ENXIO", "read-error"],
    ["ETIMEDOUT", "timed-out"],
  ])("%s is tried three times, then bad", async (code, fault) => {
    put("class/hwmon/hwmon1", { name: "sht3x\n", temp1_input: "21500\n" });
    let tries = 0;
    const readText = async (path: string) => {
      if (!path.endsWith("temp1_input")) return readSysText(path);
      tries += 1;
      throw failing(code);
    };
    create({ subsystem: "hwmon", name: "sht3x" }, { readText }, 60).start(witness);
    await witness.nextFault(fault);
    expect(tries).toBe(3);
  });

  test("an error that passes is not seen at all", async () => {
    put("class/hwmon/hwmon1", { name: "sht3x\n", temp1_input: "21500\n" });
    let tries = 0;
    const readText = async (path: string) => {
      if (path.endsWith("temp1_input")) {
        tries += 1;
        if (tries < 3) throw failing("EIO");
      }
      return readSysText(path);
    };
    const made = create({ subsystem: "hwmon", name: "sht3x" }, { readText });
    made.start(witness);
    expect(await witness.nextValue("temperature")).toBeCloseTo(21.5, 9);
    expect(made.status().dropped).toEqual({});
  });

  test("two of one name are refused until the entry says which", async () => {
    put("class/hwmon/1-0044", SHT);
    put("class/hwmon/1-0045", { ...SHT, temp1_input: "5000\n" });
    const [finding] = await create({ subsystem: "hwmon", name: "sht3x" }).check();
    expect(finding).toMatchObject({ ok: false, found: expect.stringContaining("1-0045") });
    create({ subsystem: "hwmon", name: "sht3x", address: "1-0045" }).start(witness);
    expect(await witness.nextValue("temperature")).toBeCloseTo(5, 9);
  });

  test("a point that was asked for and is not there is missing", async () => {
    put("class/hwmon/hwmon1", { name: "sht3x\n", temp1_input: "21500\n" });
    create({ subsystem: "hwmon", name: "sht3x", points: ["temperature", "humidity"] }).start(witness);
    const missing = witness.nextFault("missing");
    expect(await witness.nextValue("temperature")).toBeCloseTo(21.5, 9);
    expect(await missing).toMatchObject({ point: "humidity" });
  });
});

describe("iio", () => {
  test("takes scaled files, and raw ones as (raw + offset) × scale", async () => {
    put("bus/iio/devices/iio:device0", {
      name: "dht11\n",
      in_temp_input: "22400\n",
      in_humidityrelative_input: "41000\n",
    });
    put("bus/iio/devices/iio:device1", {
      name: "hts221\n",
      in_temp_raw: "1000\n",
      in_temp_offset: "-200.5\n",
      in_temp_scale: "10.5\n",
    });
    const [scaled] = await create({ subsystem: "iio", name: "dht11" }).check();
    expect(scaled).toMatchObject({ ok: true, found: "temperature 22.4 °C; humidity 41 % RH" });
    create({ subsystem: "iio", name: "hts221" }).start(witness);
    expect(await witness.nextValue("temperature")).toBeCloseTo(((1000 - 200.5) * 10.5) / 1000, 9);
  });

  test("pressure comes in kilopascals and is kept in pascals", async () => {
    put("bus/iio/devices/iio:device0", { name: "bme280\n", in_pressure_input: "101.325\n" });
    create({ subsystem: "iio", name: "bme280" }).start(witness);
    expect(await witness.nextValue("pressure")).toBeCloseTo(101_325, 6);
  });

  test("check names what the kernel has where the sensor is missing", async () => {
    const [none] = await create({ subsystem: "iio", name: "dht11" }).check();
    expect(none).toMatchObject({
      ok: false,
      found: "no dht11; the kernel has none",
      mend: expect.stringContaining("dtoverlay"),
    });
  });
});
