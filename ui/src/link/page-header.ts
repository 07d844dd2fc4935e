/** With this the station's own pages ask: no form and no picture of another site can send it along. */
export const PAGE_HEADER = { "station-page": "1" } as const;
