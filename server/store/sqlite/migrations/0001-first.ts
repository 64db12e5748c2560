/**
 * The first form of the store. Times are whole milliseconds since 1970 UTC. `trust` counts up from doubtful, `phase` from
 * flight, `limit_state` from normal (see `codes.ts`). Readings name their frame without a foreign key: a key would need
 * an index as large as the table; they are deleted by their own key together with their frame.
 */
export const first = `
create table missions (
  key integer primary key,
  id text not null unique,
  name text not null,
  call_sign text not null,
  private integer not null,
  invented integer not null,
  version integer not null
) strict;

create table mission_versions (
  mission integer not null references missions(key),
  version integer not null,
  saved_at integer not null,
  definition text not null,
  primary key (mission, version)
) strict, without rowid;

create table parameters (
  key integer primary key,
  mission integer not null references missions(key),
  id text not null,
  unique (mission, id)
) strict;

create table stations (
  call_sign text primary key,
  added_at integer not null,
  revoked_at integer,
  key_hash blob not null unique
) strict, without rowid;

create table recordings (
  id integer primary key autoincrement,
  sha256 text not null unique,
  mission integer references missions(key),
  station text not null,
  vouched integer not null,
  phase integer not null,
  uploaded_at integer not null,
  started_at integer,
  started_at_source text,
  time_accuracy_seconds real,
  bytes integer not null,
  file_name text,
  sender_key_hash blob not null unique,
  status text not null,
  failure text,
  audio text,
  problems text not null default '[]',
  decoder_version integer
) strict;
create index recordings_by_station on recordings(station);

create table bursts (
  recording integer not null references recordings(id) on delete cascade,
  idx integer not null,
  start_seconds real not null,
  end_seconds real not null,
  baud real not null,
  mark_hz real not null,
  space_hz real not null,
  reversed integer not null,
  stop_elements real not null,
  drift_hz_per_second real not null,
  eb_n0_db real not null,
  text text not null,
  alternative_text text,
  characters text not null,
  soft blob not null,
  primary key (recording, idx)
) strict;

create table lines (
  id integer primary key autoincrement,
  hash blob not null unique,
  text text not null,
  assumptions text not null,
  added_at integer not null
) strict;

create table frames (
  id integer primary key autoincrement,
  mission integer not null references missions(key),
  version integer not null,
  readings_version integer not null,
  received_at integer,
  added_at integer not null,
  station text not null,
  vouched integer not null,
  phase integer not null,
  recording integer,
  burst integer,
  line integer references lines(id) on delete cascade,
  kind text not null,
  text text not null,
  start_seconds real not null,
  end_seconds real not null,
  complete integer not null,
  checksum text not null,
  trust integer not null,
  confidence real not null,
  fields text not null,
  characters text not null,
  decision text not null,
  foreign key (recording, burst) references bursts(recording, idx) on delete cascade,
  check ((recording is null) = (burst is null) and (recording is null) <> (line is null))
) strict;
create index frames_by_time on frames(mission, received_at, id);
create index frames_by_recording on frames(recording, burst);
create index frames_by_line on frames(line);
create index frames_by_station on frames(station);
create index frames_by_readings_version on frames(mission, readings_version);

create table readings (
  parameter integer not null references parameters(key),
  time integer not null,
  frame integer not null,
  value real,
  text text,
  trust integer not null,
  confidence real not null,
  limit_state integer,
  vouched integer not null,
  phase integer not null,
  notes text,
  primary key (parameter, time, frame)
) strict, without rowid;

create table jobs (
  id integer primary key autoincrement,
  kind text not null,
  subject text not null,
  state text not null default 'ready',
  attempts integer not null default 0,
  worker text,
  lease_until integer,
  created_at integer not null,
  unique (kind, subject)
) strict;

create table events (
  seq integer primary key autoincrement,
  at integer not null,
  body text not null
) strict;

create table settings (
  name text primary key,
  value text not null
) strict, without rowid;
`;
