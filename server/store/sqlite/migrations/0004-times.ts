/**
 * Who says when a frame was received, and how exactly; whether time runs on through a recording (null: nobody says). Frames
 * stored until now have the time of the recording that they stand in.
 */
export const times = `
alter table recordings add column time_base text;
alter table frames add column received_at_source text;
alter table frames add column received_at_uncertainty_seconds real;

update frames set
  received_at_source = iif(line is not null, 'sender',
    (select started_at_source from recordings r where r.id = frames.recording)),
  received_at_uncertainty_seconds = (select time_accuracy_seconds from recordings r where r.id = frames.recording)
where received_at is not null;
`;
