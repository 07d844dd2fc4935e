/** What an entry of a photo says which it is of; null where a worn card has made something else of it. */
const SUMS = `SELECT CASE WHEN json_valid(body) THEN json_extract(body, '$.sha256') END AS sum
  FROM trial_entry WHERE kind = 'photo'`;
const IS_SUM = "typeof(sum) = 'text' AND length(sum) = 64 AND sum NOT GLOB '*[^0-9a-f]*'";

/** The sums of all photos that entries speak of. */
export const PHOTO_SUMS = `SELECT DISTINCT sum FROM (${SUMS}) WHERE ${IS_SUM}`;

/** How many entries of photos do not say any more which photo they are of. */
export const PHOTOS_UNTOLD = `SELECT count(*) FROM (${SUMS}) WHERE NOT (${IS_SUM})`;
