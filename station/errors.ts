/**
 * Every error the station can answer with: a code that stays the same for ever, an HTTP status, and a title.
 * The `detail` is written where the error is thrown, for the person who will mend it.
 */
export const ERRORS = {
  "config-unreadable": { status: 500, title: "The configuration file could not be read" },
  "config-invalid": { status: 500, title: "The configuration is not valid" },
  "probe-not-steady": { status: 409, title: "The probe has not come to rest" },
  "calibration-unfinished": { status: 409, title: "The calibration is not finished" },
  "config-changed": { status: 409, title: "The configuration was changed meanwhile" },
  "config-edit-refused": { status: 422, title: "The configuration cannot be changed so" },
  "config-no-way-back": { status: 409, title: "There is nothing to go back to" },
  "config-not-written": { status: 507, title: "The configuration could not be written" },
  "setup-unknown": { status: 404, title: "There is no such thing connected" },
  "setup-refused": { status: 422, title: "It cannot be set up so" },
  "setup-held": { status: 409, title: "The running station reads it already" },
  "setup-listening": { status: 409, title: "A board is being listened to" },
  "setup-taken-over": { status: 409, title: "Another page looks now" },
  "restart-refused": { status: 409, title: "The station is not started again now" },
  "request-invalid": { status: 400, title: "The request is not of the form that was expected" },
  "fire-watch-none": { status: 409, title: "No watch for fire is under way" },
  "other-site": { status: 403, title: "Requests from pages of other sites are refused" },
  "wrong-host": { status: 421, title: "The station does not go by this name" },
  "too-many-requests": { status: 429, title: "Too much is asked at once" },
  "sign-in-needed": { status: 401, title: "Sign in first" },
  "not-allowed": { status: 403, title: "This is not yours to do" },
  "sign-in-refused": { status: 403, title: "Not signed in" },
  "sign-in-busy": { status: 503, title: "Too many sign in at once" },
  "too-many-tries": { status: 429, title: "Too many wrong tries" },
  "pairing-refused": { status: 403, title: "The phone was not paired" },
  "not-on-network": { status: 409, title: "The station is not open to the network" },
  "pin-not-set": { status: 409, title: "No PIN is set" },
  "not-locked": { status: 409, title: "No passphrase is set yet" },
  "already-locked": { status: 409, title: "A passphrase is set already" },
  "name-taken": { status: 409, title: "The name is taken" },
  "list-full": { status: 409, title: "The list of people is full" },
  "last-owner": { status: 409, title: "The station needs an owner" },
  "person-unknown": { status: 404, title: "There is no such person" },
  "session-unknown": { status: 404, title: "There is no such session" },
  "access-unread": { status: 503, title: "Nobody can sign in yet" },
  "access-unreadable": { status: 503, title: "Nobody can sign in" },
  "access-not-kept": { status: 507, title: "The change could not be kept" },
  "tls-unusable": { status: 500, title: "The station's certificate cannot be used" },
  "not-found": { status: 404, title: "There is nothing at this address" },
  "run-unknown": { status: 404, title: "There is no such run" },
  "run-open": { status: 409, title: "A run is already open" },
  "run-not-open": { status: 409, title: "No run is open" },
  "run-not-bad": { status: 409, title: "There is nothing to explain about this run" },
  "stock-unknown": { status: 404, title: "There is no such stock" },
  "lot-unknown": { status: 404, title: "There is no such lot" },
  "plan-unknown": { status: 404, title: "There is no such plan" },
  "plan-known": { status: 409, title: "There is another plan of this id" },
  "plan-not-running": { status: 409, title: "The plan is not running" },
  "specimen-unknown": { status: 404, title: "There is no such specimen" },
  "code-taken": { status: 409, title: "The place or the code is taken" },
  "alarm-unknown": { status: 404, title: "There is no such alarm" },
  "alarm-not-standing": { status: 409, title: "This alarm is not standing" },
  "alarm-already-acknowledged": { status: 409, title: "This alarm has been acknowledged already" },
  "alarm-not-latched": { status: 409, title: "There is nothing to reset" },
  "alarm-shelved": { status: 409, title: "This alarm is on the shelf already" },
  "alarm-not-shelved": { status: 409, title: "This alarm is not on the shelf" },
  "alarm-out-of-service": { status: 409, title: "This alarm is out of service already" },
  "alarm-in-service": { status: 409, title: "This alarm is in service" },
  "alarm-setting-refused": { status: 422, title: "An alarm cannot be set so" },
  "way-unknown": { status: 404, title: "There is no such way of telling anybody" },
  "way-not-set-up": { status: 409, title: "This way is not set up" },
  "way-test-running": { status: 409, title: "A test is being sent" },
  "way-test-too-soon": { status: 429, title: "A test was sent just now" },
  "channel-unknown": { status: 404, title: "There is no such channel" },
  "emergency-unknown": { status: 503, title: "The emergency numbers are not known yet" },
  "journal-too-new": { status: 500, title: "The journal was written by a newer version of the station" },
  "journal-in-use": { status: 503, title: "The journal is in use" },
  "journal-unusable": { status: 503, title: "The journal cannot be used" },
  "journal-closed": { status: 503, title: "The journal is closed" },
  "readings-damaged": { status: 500, title: "Readings in the journal are damaged" },
  "records-damaged": { status: 500, title: "Records in the journal are damaged" },
  "file-unreadable": { status: 400, title: "The file could not be read" },
  "import-refused": { status: 400, title: "The file was not imported" },
  "export-running": { status: 409, title: "Another export is being sent" },
  "export-failed": { status: 500, title: "The export could not be made" },
  "backup-failed": { status: 500, title: "The backup could not be made" },
  "backup-not-set-up": { status: 409, title: "No backups are set up" },
  "backup-running": { status: 409, title: "A backup is being made" },
  "backup-unusable": { status: 400, title: "The file is no backup that could be put back" },
  "photo-too-large": { status: 413, title: "The photo is too large" },
  "photo-type": { status: 415, title: "The file is no photo that the station takes" },
  "photo-unreadable": { status: 422, title: "The photo could not be read" },
  "photo-not-kept": { status: 507, title: "The photo could not be kept" },
  "photo-not-read": { status: 503, title: "The photo was not read this time" },
  "photo-busy": { status: 503, title: "Too many photos arrive at once" },
  "photo-unknown": { status: 404, title: "There is no such photo" },
  "sqlite-too-old": { status: 500, title: "The SQLite library is older than the station needs" },
  "cannot-listen": { status: 500, title: "The station cannot listen at its address" },
  internal: { status: 500, title: "The station made a mistake" },
} as const satisfies Record<string, { status: number; title: string }>;

export type ErrorCode = keyof typeof ERRORS;

export class AppError extends Error {
  readonly code: ErrorCode;
  readonly status: number;
  readonly title: string;
  /** For a form that was not right: where, and what was expected there. */
  readonly errors: readonly { path: string; expected: string }[];

  /** @param detail what happened and what to do, for people */
  constructor(code: ErrorCode, detail: string, errors: readonly { path: string; expected: string }[] = []) {
    super(detail);
    this.name = "AppError";
    this.code = code;
    this.status = ERRORS[code].status;
    this.title = ERRORS[code].title;
    this.errors = errors;
  }
}
