import { describe, expect, test } from "vitest";
import {
  chipsIn,
  edgeIn,
  errnoIn,
  getArguments,
  linesIn,
  monitorArguments,
  putArguments,
  setArguments,
  versionIn,
} from "../../station/sources/gpio/gpiod-words.js";

// Output of the tools themselves: libgpiod 1.6.3 (Debian 12) and 2.2.1 (Debian 13) on a chip of the kernel's gpio-sim; the
// formats of version 2 also in the tools' source, libgpiod 2.3, tools/gpiodetect.c, gpioinfo.c and gpiomon.c.
describe("what the tools print", () => {
  test("their version", () => {
    expect(versionIn("gpiodetect (libgpiod) v1.6.3\nCopyright (C) 2017-2018 Bartosz Golaszewski\n")).toBe(1);
    expect(versionIn("gpiodetect v2.2.1 (libgpiod v2.2.1)\nCopyright (C) 2017-2023 …\n")).toBe(2);
    expect(versionIn("gpiodetect v3.0 (libgpiod v3.0)\n")).toBeNull();
    expect(versionIn("")).toBeNull();
  });

  test("the chips, with labels that hold spaces and brackets", () => {
    const text =
      "gpiochip0 [pinctrl-bcm2711] (58 lines)\ngpiochip1 [raspberrypi-exp-gpio] (8 lines)\ngpiochip2 [my [odd] chip] (1 lines)\n";
    expect(chipsIn(text)).toEqual([
      { name: "gpiochip0", label: "pinctrl-bcm2711", lines: 58 },
      { name: "gpiochip1", label: "raspberrypi-exp-gpio", lines: 8 },
      { name: "gpiochip2", label: "my [odd] chip", lines: 1 },
    ]);
    expect(chipsIn("gpiodetect: unable to open chips: Permission denied\n")).toEqual([]);
  });

  test("the lines of version 1, with who holds them", () => {
    const text = [
      "gpiochip0 - 4 lines:",
      "\tline   0:      unnamed       unused   input  active-high ",
      '\tline   1:   "laser-on"       unused   input  active-high ',
      '\tline   2:   "lid-open"    "gpiomon"   input  active-high [used pull-up]',
      "\tline   3:      unnamed       kernel   input  active-high [used]",
      "",
    ].join("\n");
    expect(linesIn(text)).toEqual([
      { chip: "gpiochip0", line: 0, name: null, usedBy: null },
      { chip: "gpiochip0", line: 1, name: "laser-on", usedBy: null },
      { chip: "gpiochip0", line: 2, name: "lid-open", usedBy: "gpiomon" },
      { chip: "gpiochip0", line: 3, name: null, usedBy: "kernel" },
    ]);
  });

  test("the lines of version 2, with who holds them", () => {
    const text = [
      "gpiochip0 - 3 lines:",
      "\tline   0:\tunnamed         \tinput",
      '\tline   1:\t"laser-on"      \tinput',
      '\tline   2:\t"lid-open"      \tinput bias=pull-up edges=both event-clock=realtime consumer="gpiomon"',
      "gpiochip1 - 1 lines:",
      '\tline   0:\t"LED"           \toutput consumer="led0"',
      "",
    ].join("\n");
    expect(linesIn(text)).toEqual([
      { chip: "gpiochip0", line: 0, name: null, usedBy: null },
      { chip: "gpiochip0", line: 1, name: "laser-on", usedBy: null },
      { chip: "gpiochip0", line: 2, name: "lid-open", usedBy: "gpiomon" },
      { chip: "gpiochip1", line: 0, name: "LED", usedBy: "led0" },
    ]);
  });

  test("an edge, with when the kernel saw it", () => {
    expect(edgeIn(1, "1 12 5000000")).toEqual({ level: 1, at: 12_005 });
    expect(edgeIn(1, "0 12 999999999")).toEqual({ level: 0, at: 12_999.999999 });
    expect(edgeIn(2, "1 12.005000000")).toEqual({ level: 1, at: 12_005 });
    expect(edgeIn(2, "2 12.999999999")).toEqual({ level: 0, at: 12_999.999999 });
    // What the other version would mean by it, and what is none.
    for (const row of ["2 12 5", "1", "", "rising 12 5", "1 12"]) expect(edgeIn(1, row)).toBeNull();
    expect(edgeIn(2, "0 12.000000005")).toBeNull();
  });

  test.each([
    ["gpiomon: error waiting for events: Device or resource busy", "EBUSY"],
    ["gpioget: unable to request lines on chip /dev/gpiochip0: Device or resource busy", "EBUSY"],
    ["gpiodetect: unable to open chips: Permission denied", "EACCES"],
    ["gpioget: error reading GPIO values: Invalid argument", "EINVAL"],
    ["gpioget: offset 99 is out of range on chip 'gpiochip0'", "EINVAL"],
    ["gpioget: cannot find GPIO chip 'gpiochip9'", "ENOENT"],
    ["gpiomon: error polling for events: No such device", "ENODEV"],
    ["gpiomon: something nobody has heard of", ""],
  ])("%s is %s", (words, code) => {
    expect(errnoIn(words)).toBe(code);
  });
});

describe("what the tools are asked", () => {
  const line = { chip: "gpiochip0", line: 3, bias: "none" } as const;

  test("in the words of version 1", () => {
    expect(getArguments(1, line).join(" ")).toBe("-B disable gpiochip0 3");
    expect(monitorArguments(1, line).join(" ")).toBe(
      "--line-buffered --format=%e %s %n -B disable gpiochip0 3",
    );
    expect(setArguments(1, line, 1).join(" ")).toBe("--mode=signal gpiochip0 3=1");
    expect(putArguments(1, line, 1).join(" ")).toBe("--mode=exit gpiochip0 3=1");
  });

  test("in the words of version 2", () => {
    expect(getArguments(2, line).join(" ")).toBe("--numeric -b disabled -c gpiochip0 3");
    expect(monitorArguments(2, line).join(" ")).toBe("--format %e %S -b disabled -c gpiochip0 3");
    expect(setArguments(2, line, 0).join(" ")).toBe("-c gpiochip0 3=0");
    expect(putArguments(2, line, 0).join(" ")).toBe("--toggle 0 -c gpiochip0 3=0");
  });
});
