/** The thread that makes a backup: it may take minutes, and neither readings nor charts wait for it. */
import { answerCalls, giveWay } from "../thread.js";
import { type Contents, type CopyRequest, copyForSending } from "./copy.js";
import type { BackupRequest } from "./make.js";
import { makeWholeBackup, type WholeBackup } from "./photos.js";

export interface BackupCalls {
  make: { params: BackupRequest; result: WholeBackup };
  copy: { params: CopyRequest; result: Contents };
}

giveWay();
answerCalls<BackupCalls>({ make: makeWholeBackup, copy: copyForSending }, () => {});
