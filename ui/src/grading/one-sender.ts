/** A page that the phone has put to sleep in the middle of sending may hold the lock for as long as it sleeps. */
const WAIT_MS = 20_000;

/**
 * Does it while no other page of this browser does. Browsers give locks to https alone, and a lock may stay with a page that
 * sleeps: then it is done all the same, because the station keeps what is sent twice once.
 */
export async function oneAtATime<T>(name: string, deed: () => Promise<T>): Promise<T> {
  const locks: LockManager | undefined = navigator.locks;
  if (locks === undefined) return deed();
  const late = new AbortController();
  const timer = setTimeout(() => late.abort(), WAIT_MS);
  try {
    return (await locks.request(name, { signal: late.signal }, () => {
      clearTimeout(timer);
      return deed();
    })) as T;
  } catch (error) {
    if (!late.signal.aborted) throw error;
    return deed();
  } finally {
    clearTimeout(timer);
  }
}
