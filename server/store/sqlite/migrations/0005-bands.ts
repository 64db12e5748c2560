/**
 * Complex bands, as JSON: what a sender says of one, and where the carrier of a burst stood in it. Those of recordings
 * decoded until now were not kept.
 */
export const bands = `
alter table recordings add column band_claim text;
alter table bursts add column carrier text;
`;
