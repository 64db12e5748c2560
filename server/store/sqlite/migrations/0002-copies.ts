/**
 * The copies of frames: where each transmission was heard, and what was read there alone. `alone` is null where nothing
 * was; `slots` has the burst's slot under each character of the frame, -1 for none. Frames stored until now are their
 * own only copy.
 */
export const copies = `
create table copies (
  frame integer not null references frames(id) on delete cascade,
  position integer not null,
  recording integer not null,
  burst integer not null,
  use text not null,
  slots text not null,
  alone text,
  primary key (frame, position),
  foreign key (recording, burst) references bursts(recording, idx) on delete cascade
) strict, without rowid;
create index copies_by_recording on copies(recording, burst);
create index recordings_by_start on recordings(started_at);

insert into copies (frame, position, recording, burst, use, slots, alone)
select f.id, 0, f.recording, f.burst, 'added', json_extract(f.characters, '$.slot'),
  json_object('mission', m.id, 'version', f.version, 'frame', f.kind, 'text', f.text, 'startSeconds', f.start_seconds,
    'endSeconds', f.end_seconds, 'complete', json(iif(f.complete, 'true', 'false')), 'checksum', f.checksum,
    'trust', case f.trust when 2 then 'confirmed' when 1 then 'probable' else 'doubtful' end,
    'confidence', f.confidence, 'fields', json(f.fields), 'characters', json(f.characters),
    'decision', json(f.decision))
from frames f join missions m on m.key = f.mission
where f.recording is not null;
`;
