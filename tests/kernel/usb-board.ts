import { once } from "node:events";
import { connect, type Socket } from "node:net";
import { join } from "node:path";
import { type BoardRecord, boardLine } from "../service/bench-rig.js";
import type { Guest } from "./guest.js";
import { patiently } from "./guest-drivers.js";

/** Options of QEMU for a USB port; what connects to the socket is the board, plugged in for as long as it is connected. */
export function usbPort(folder: string): readonly string[] {
  return [
    ...["-device", "qemu-xhci", "-chardev", `socket,id=usb,path=${join(folder, "usb")},server=on,wait=off`],
    ...["-device", "usb-serial,chardev=usb"],
  ];
}

/** A board with a USB serial converter, which to the kernel is an FT232. It reports once a second while it is plugged in. */
export class UsbBoard {
  flow = 4;
  pedal = false;
  #socket: Socket | null = null;
  #timer: NodeJS.Timeout | null = null;

  constructor(
    readonly guest: Guest,
    readonly folder: string,
  ) {}

  /** Loads the drivers, and starts what gives the port its stable name. */
  async ready(): Promise<void> {
    await this.guest.mustRun("/lib/systemd/systemd-udevd --daemon >/dev/null 2>&1");
    await this.guest.modules("xhci-pci", "ftdi_sio");
  }

  async plugIn(): Promise<void> {
    const socket = connect(join(this.folder, "usb"));
    await once(socket, "connect");
    socket.on("error", () => {});
    this.#socket = socket;
    this.#timer = setInterval(() => this.report(), 1000);
  }

  unplug(): void {
    if (this.#timer !== null) clearInterval(this.#timer);
    this.#timer = null;
    this.#socket?.destroy();
    this.#socket = null;
  }

  report(): void {
    const records: readonly BoardRecord[] = [
      { n: "flow", u: "l/min", v: this.flow },
      { n: "pedal", vb: this.pedal },
    ];
    this.send(boardLine(records));
  }

  send(text: string): void {
    this.#socket?.write(text);
  }

  /** The name under /dev/serial/by-id, once it is there. */
  path(): Promise<string> {
    return patiently(async () => {
      const names = (await this.guest.mustRun("ls /dev/serial/by-id 2>/dev/null || true")).trim();
      return names === "" ? null : `/dev/serial/by-id/${names}`;
    }, "the port's name");
  }

  async plugged(): Promise<boolean> {
    return (await this.guest.mustRun("ls /dev")).includes("ttyUSB");
  }
}
