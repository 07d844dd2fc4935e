/** What the coefficient is called that comes before those of the terms. */
export const INTERCEPT = "intercept";
