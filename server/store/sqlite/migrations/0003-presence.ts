/** Missions' beacons that a recording holds too faint to be read, as JSON: those of recordings decoded until now were not kept. */
export const presence = `
alter table recordings add column presence text not null default '[]';
`;
