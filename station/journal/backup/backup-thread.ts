/** The thread that makes a backup: it may take minutes, and neither readings nor charts wait for it. */
import { answerCalls } from "../thread.js";
import { type Contents, type CopyRequest, copyForSending } from "./copy.js";
import { type BackupMade, type BackupRequest, makeBackup } from "./make.js";

export interface BackupCalls {
  make: { params: BackupRequest; result: BackupMade };
  copy: { params: CopyRequest; result: Contents };
}

answerCalls<BackupCalls>({ make: makeBackup, copy: copyForSending }, () => {});
