// Two hundred pages that listen, ten that take nothing of what they are sent, and one that asks for the chart of a year again and again.
// Told its station in the first argument; at a line on its standard input it answers with what its pages have seen.
import { connect } from "node:net";
import { createInterface } from "node:readline";
import { io } from "socket.io-client";

const [url, listening, slow, channel] = process.argv.slice(2);
const station = new URL(url);
const counts = {
  snapshots: 0,
  alarms: 0,
  charts: 0,
  chartsFailed: 0,
  slowShown: 0,
  slowGone: 0,
  lost: 0,
  shortest: Infinity,
};
const pages = Array.from({ length: Number(listening) }, () => {
  const socket = io(url, { transports: ["websocket"], forceNew: true });
  const page = { socket, last: null };
  socket.on("snapshot", (snapshot) => {
    counts.snapshots += 1;
    page.last = snapshot.alarms;
  });
  socket.on("alarms", (message) => {
    counts.alarms += 1;
    page.last = message.alarms;
    socket.emit("alarms-received", message.id);
  });
  socket.on("disconnect", () => {
    counts.lost += 1;
  });
  return page;
});

/** An unasked pong of RFC 6455 (5.5.3), masked with zeros: it asks for no answer, and nobody takes it for a sign that the page is well. */
const PONG = Buffer.from([0x8a, 0x80, 0, 0, 0, 0]);
const TELL_EVERY_MS = 2000;

// A connection that is made, asks for the live values, and then reads nothing any more; it is made anew when the station gives it up.
// Whoever reads nothing does not hear that either: only what is written tells, by failing.
function connectSlowly() {
  const socket = connect(Number(station.port), station.hostname);
  let telling;
  socket.on("error", () => undefined);
  socket.on("close", () => {
    clearInterval(telling);
    counts.slowGone += 1;
    setTimeout(connectSlowly, 1000).unref();
  });
  socket.write(
    `GET /socket.io/?EIO=4&transport=websocket HTTP/1.1\r\nHost: ${station.host}\r\nUpgrade: websocket\r\nConnection: Upgrade\r\n` +
      "Sec-WebSocket-Key: MDEyMzQ1Njc4OWFiY2RlZg==\r\nSec-WebSocket-Version: 13\r\n\r\n",
  );
  // "40", masked with zeros: it wishes to be connected to the pages' own channel.
  socket.once("data", () => {
    socket.write(Buffer.from([0x81, 0x82, 0, 0, 0, 0, 0x34, 0x30]));
    let heard = "";
    socket.on("data", (data) => {
      heard += data.toString("latin1");
      if (!heard.includes('42["snapshot"')) return;
      counts.slowShown += 1;
      socket.removeAllListeners("data");
      socket.pause();
      telling = setInterval(() => socket.write(PONG), TELL_EVERY_MS);
    });
  });
}
for (let i = 0; i < Number(slow); i += 1) connectSlowly();

const YEAR_MS = 365 * 86_400_000;
async function askForYears() {
  for (;;) {
    const to = Date.now();
    const query = new URLSearchParams({
      channel,
      from: String(to - YEAR_MS),
      to: String(to),
      buckets: "1200",
    });
    try {
      const response = await fetch(`${url}/api/series?${query}`);
      const { buckets } = await response.json();
      if (!response.ok) throw new Error(String(response.status));
      counts.charts += 1;
      counts.shortest = Math.min(counts.shortest, buckets.length);
    } catch {
      counts.chartsFailed += 1;
      await new Promise((next) => setTimeout(next, 200));
    }
  }
}
void askForYears();

createInterface({ input: process.stdin }).on("line", () => {
  const connected = pages.filter(({ socket }) => socket.connected).length;
  const alarms = [
    ...new Set(pages.map(({ last }) => JSON.stringify((last ?? []).map((each) => [each.alarm, each.state])))),
  ];
  process.stdout.write(`${JSON.stringify({ ...counts, connected, alarms })}\n`);
});
