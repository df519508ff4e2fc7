-- SPDX-FileCopyrightText: 2026 the reseat contributors
-- SPDX-License-Identifier: MIT

-- The logs of a shop in PostgreSQL: loads them from standard input and answers four questions.
--
--     awk 1 DIR/*.jsonl | psql -f samples/overview.sql
--
-- Ages are counted to now, or to a time given by -v as_of=2026-11-01T00:00:00Z.
-- Everything is temporary and gone when the session ends. Seals are not checked: run
-- `reseat audit` first. Lines that are no sealed records are left out.

\set ON_ERROR_STOP on
\set QUIET on
\if :{?as_of}
\else
    \set as_of now
\endif

create temporary table line (id bigint generated always as identity, text text not null);

-- Every byte as it stands: no record holds the control characters named here.
\copy line (text) from pstdin with (format csv, delimiter e'\x01', quote e'\x02')

-- Records with the log that they stand in: what its first one says.
create temporary table record as
select max(body ->> 'spindle') over (partition by log) as spindle, (body ->> 'seq')::bigint as seq,
       body ->> 'type' as type, (body ->> 'at')::timestamptz as at, body
from (select id, text::jsonb as body,
             count(*) filter (where text like '%"type":"log"%') over (order by id) as log
      from line
      where text ~ '^\{.*,"seal":"[0-9a-f]{64}"\}$') as sealed;

-- What was not taken back.
create temporary view fact as
select *
from record
where not exists (select from record as later
                  where later.spindle = record.spindle and later.type = 'void'
                    and record.seq between (later.body ->> 'voids')::bigint
                        and coalesce(later.body ->> 'voids_to', later.body ->> 'voids')::bigint
                    and record.seq < later.seq);

create temporary view policy as
select distinct on (spindle) spindle, (body ->> 'max_age_days')::float8 as max_age_days,
       coalesce((body ->> 'spindle_x_mm')::float8, 0) as spindle_x_mm,
       coalesce((body ->> 'spindle_y_mm')::float8, 0) as spindle_y_mm
from fact
where type = 'policy'
order by spindle, seq desc;

-- Runs, with how many collisions, changes of stylus and services were before them.
create temporary view run_in_baseline as
select spindle, seq, at, body ->> 'probe' as probe, coalesce(body ->> 'tip', 'main') as tip,
       (body ->> 'seat_deg')::float8 as seat_deg, (body ->> 'offset_x_mm')::float8 as x_mm,
       (body ->> 'offset_y_mm')::float8 as y_mm, (body ->> 'radius_mm')::float8 as radius_mm,
       (body ->> 'stylus_length_mm')::float8 as stylus_length_mm,
       (select count(*)
        from fact as event
        where event.spindle = fact.spindle and event.type = 'event'
          and event.body ->> 'kind' <> 'other'
          and coalesce(event.body ->> 'probe', fact.body ->> 'probe') = fact.body ->> 'probe'
          and (event.at, event.seq) < (fact.at, fact.seq)) as events_before
from fact
where type = 'run';

-- A baseline is known by its first run.
create temporary view run as
select *, first_value(seq) over (partition by spindle, probe, tip, events_before
                                 order by at, seq) as from_seq
from run_in_baseline;

-- The part of the offset that turns with the probe, turned back to seat 0: R(-seat) (o - a). Of a
-- run without a seat only its length is known, which turning does not change.
create temporary view series as
select run.spindle, probe, tip, from_seq, at, seq, named.name, named.value
from run
left join policy on policy.spindle = run.spindle
cross join lateral (select x_mm - coalesce(spindle_x_mm, 0) as dx,
                           y_mm - coalesce(spindle_y_mm, 0) as dy) as turning
cross join lateral (values ('x', cosd(seat_deg) * dx + sind(seat_deg) * dy),
                           ('y', cosd(seat_deg) * dy - sind(seat_deg) * dx),
                           ('length', sqrt(dx ^ 2 + dy ^ 2)),
                           ('radius', radius_mm),
                           ('stylus_length', stylus_length_mm)) as named (name, value)
where named.value is not null;

-- Individuals: mean, and sigma from the mean moving range; from 8 runs on.
create temporary view chart as
select spindle, probe, tip, from_seq, name, count(*) as n, avg(value) as mean,
       avg(moved) / (2 / sqrt(pi())) as sigma
from (select *, abs(value - lag(value) over (partition by spindle, probe, tip, from_seq, name
                                             order by at, seq)) as moved
      from series) as stepped
group by spindle, probe, tip, from_seq, name
having count(*) >= 8;

create temporary view worst_offset as
select distinct on (spindle) spindle, probe, tip, seq, at, sqrt(x_mm ^ 2 + y_mm ^ 2) as offset_mm
from run
order by spindle, x_mm ^ 2 + y_mm ^ 2 desc, at, seq;

-- The run in force of each tip, if it is older than the policy allows (365 days if it is silent).
create temporary view past_due as
select spindle, probe, tip, seq, at, floor(age_days) as age_days, most_days
from (select distinct on (spindle, probe, tip) run.*,
             extract(epoch from timestamptz :'as_of' - at) / 86400 as age_days,
             coalesce(max_age_days, 365) as most_days
      from run
      left join policy using (spindle)
      order by spindle, probe, tip, at desc, seq desc) as newest
where age_days > most_days;

-- Where that part stood in each month of a baseline, and how far it has moved since the month
-- before.
create temporary view drift_per_month as
select *, sqrt((x_mm - lag(x_mm) over before) ^ 2 + (y_mm - lag(y_mm) over before) ^ 2) as moved_mm
from (select spindle, probe, tip, from_seq, to_char(at at time zone 'UTC', 'YYYY-MM') as month,
             count(*) filter (where name = 'x') as runs,
             avg(value) filter (where name = 'x') as x_mm,
             avg(value) filter (where name = 'y') as y_mm
      from series
      group by spindle, probe, tip, from_seq, month) as monthly
window before as (partition by spindle, probe, tip, from_seq order by month);

\echo 'Worst offset of each spindle'
select spindle, probe, tip, seq, at, round(offset_mm::numeric, 4) as offset_mm
from worst_offset
order by worst_offset.offset_mm desc;
\echo 'Runs past due'
select * from past_due order by age_days - most_days desc;
\echo 'Drift per month'
select spindle, probe, tip, from_seq, month, runs, round(x_mm::numeric, 4) as x_mm,
       round(y_mm::numeric, 4) as y_mm, round(moved_mm::numeric, 4) as moved_mm
from drift_per_month
order by spindle, probe, tip, month, from_seq;
\echo 'Mean and sigma of each baseline'
select * from chart order by spindle, probe, tip, from_seq, name;
