/** What came along with bursts that were cut out of a longer recording, as JSON; null for recordings as they were made. */
export const cutOuts = `
alter table recordings add column cut_out text;
`;
