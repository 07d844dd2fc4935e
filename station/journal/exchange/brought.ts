/** Under which the changes of a run's settings are kept. */
export function subjectOfRun(id: string): string {
  return `run:${id}`;
}

/** Under which the channels of a run that came from another journal are kept with it: its stamp was made with them. */
export const STAMP_CHANNELS_PATH = "stamp.channels";
