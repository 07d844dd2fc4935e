/** A machine has as many IPv6 addresses as it likes within its network of 64 bits; that counts as one. */
export function placeOf(address: string): string {
  if (!address.includes(":")) return address;
  const [head = "", tail = ""] = address.split("::");
  const front = head === "" ? [] : head.split(":");
  const back = tail === "" ? [] : tail.split(":");
  const zeros = address.includes("::") ? Math.max(0, 8 - front.length - back.length) : 0;
  const groups = [...front, ...Array<string>(zeros).fill("0"), ...back];
  return `${groups.slice(0, 4).join(":")}::/64`;
}
