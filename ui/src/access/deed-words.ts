/** What is asked of the station, as it is kept, in a person's words. */
const WORDS: Readonly<Record<string, string>> = {
  "POST /runs": "began a run",
  "POST /runs/:id/end": "ended a run",
  "PATCH /runs/:id/settings": "corrected a run",
  "PUT /job-sheet": "filled in the job sheet",
  "POST /optics/cleaned": "cleaned the optics",
  "POST /maintenance": "noted upkeep",
  "PUT /lots/:id": "entered a lot",
  "POST /lots/:id/sheet": "entered a setting on a lot's sheet",
  "PUT /plans/:id": "laid out a plan",
  "POST /plans/:id/phase": "began, paused or closed a plan",
  "POST /plans/:id/checks": "checked what a block needs",
  "POST /plans/:id/decision": "decided on a plan",
  "POST /specimens/:code/again": "had a specimen cut again",
  "POST /entries": "graded",
  "POST /photos": "sent a photo",
  "POST /alarms/:id/acknowledge": "acknowledged an alarm",
  acknowledge: "acknowledged an alarm",
  "POST /alarms/:id/reset": "reset a latched alarm",
  "POST /alarms/:id/shelve": "shelved an alarm",
  "POST /alarms/:id/unshelve": "took an alarm off the shelf",
  "POST /alarms/:id/out-of-service": "took an alarm out of service",
  "POST /alarms/:id/in-service": "put an alarm back in service",
  "PUT /alarms/:id/setting": "changed an alarm",
  "DELETE /alarms/:id/setting": "set an alarm back to the file",
  "POST /outward/:way/test": "tried a way outward",
  "POST /fire-watch": "began a fire watch",
  "POST /fire-watch/looks": "looked for fire",
  "POST /checklists/:id": "went through a check list",
  "PUT /emergency": "changed the emergency numbers",
  "PUT /workshop": "changed facts of machine and shop",
  "POST /past-runs": "brought in past runs",
  "POST /backups": "had a backup made",
  "POST /setup/listen": "listened to a board",
  "POST /setup/preview": "looked at a change of station.yaml",
  "PUT /setup/file": "changed station.yaml",
  "POST /setup/back": "took a change of station.yaml back",
  "PUT /setup/points": "took a point of a thermometer's calibration",
  "POST /setup/points/forget": "let a point of a thermometer's calibration go",
  "POST /setup/restart": "had the station start again",
  "GET /exports/journal.sqlite": "took the whole journal out",
  "GET /exports/readings.csv": "took readings out",
  "GET /exports/readings.senml": "took readings out",
};

export function deedWords(what: string): string {
  return WORDS[what] ?? what;
}

/** An outcome is a word already, or the status that a question was answered with. */
export function outcomeWords(outcome: string): string {
  if (!/^\d{3}$/.test(outcome)) return outcome;
  const status = Number(outcome);
  if (status === 202) return "done, not on the disk yet";
  if (status < 300) return "done";
  return status < 500 ? `refused (${outcome})` : `failed (${outcome})`;
}
