/** The sums of all photos that entries speak of. A body that a worn card has made something else of speaks of none. */
export const PHOTO_SUMS =
  "SELECT DISTINCT json_extract(body, '$.sha256') FROM trial_entry WHERE kind = 'photo' AND json_valid(body)";
