package ledger

import "math"

// clean marks a device of which nothing has to be settled: all moments lie before it.
const clean = math.MaxInt64

// component is the name under which the tables are migrated.
const component = "ledger"

// steps make the tables. Moments are microseconds UTC, lengths of time nanoseconds.
//
// groups are what keeps its own time: see cost.Record.Group. dirty is the
// earliest change that is not settled yet, uncut that from which cells are
// missing, entries how many of them there are.
//
// In records, since and till are the bounds of the record, edge that of
// cost.Bounds; the key stands behind them in its index, so that what comes in together
// is kept together, though keys are hashes; kind is 1 for phases and 2 for runs; stands marks a run that
// stands for phases. In entries, at is the start by the clock of the device; in
// cells and sums, chunk is the at of the first entry that they were made with. A
// sum is that of the cells of a chunk in one dimension of the books. strands are the
// bounds of all records of a strand: they only grow. spent is the time of the cells of a
// job, a column a state, in which their number is that of job.State.
var steps = []string{`
CREATE TABLE ledger_groups (
	id {id}, name TEXT NOT NULL UNIQUE, device TEXT NOT NULL,
	heard BIGINT NOT NULL DEFAULT 0, dirty BIGINT NOT NULL, uncut BIGINT NOT NULL, entries BIGINT NOT NULL DEFAULT 0
);
CREATE TABLE ledger_records (
	key {blob} PRIMARY KEY, grp BIGINT NOT NULL, kind BIGINT NOT NULL, stands BIGINT NOT NULL DEFAULT 0,
	signal BIGINT NOT NULL, job TEXT NOT NULL, strand TEXT NOT NULL,
	since BIGINT NOT NULL, till BIGINT NOT NULL, edge BIGINT NOT NULL, seen BIGINT NOT NULL,
	received BIGINT NOT NULL, body {blob} NOT NULL
);
CREATE INDEX ledger_records_time ON ledger_records (grp, since);
CREATE INDEX ledger_records_strand ON ledger_records (grp, strand, since, till, edge) WHERE strand <> '';
CREATE INDEX ledger_records_run ON ledger_records (job) WHERE kind = 2;
CREATE INDEX ledger_records_received ON ledger_records (grp, seen) WHERE received > 0;
CREATE TABLE ledger_quiet (grp BIGINT NOT NULL, at BIGINT NOT NULL, PRIMARY KEY (grp, at));
CREATE TABLE ledger_uses (key {blob} PRIMARY KEY, job TEXT NOT NULL, body {blob} NOT NULL);
CREATE INDEX ledger_uses_job ON ledger_uses (job);
CREATE TABLE ledger_notices (
	key {blob} PRIMARY KEY, device TEXT NOT NULL, job TEXT NOT NULL, seen BIGINT NOT NULL, body {blob} NOT NULL
);
CREATE INDEX ledger_notices_seen ON ledger_notices (seen);
CREATE TABLE ledger_measurements (
	key {blob} PRIMARY KEY, job TEXT NOT NULL, device TEXT NOT NULL, seen BIGINT NOT NULL, body {blob} NOT NULL
);
CREATE INDEX ledger_measurements_job ON ledger_measurements (job, seen);
CREATE TABLE ledger_orders (key {blob} PRIMARY KEY, job TEXT NOT NULL, body {blob} NOT NULL);
CREATE INDEX ledger_orders_job ON ledger_orders (job);
CREATE TABLE ledger_tasks (key {blob} PRIMARY KEY, job TEXT NOT NULL, body {blob} NOT NULL);
CREATE INDEX ledger_tasks_job ON ledger_tasks (job);

CREATE TABLE ledger_entries (
	grp BIGINT NOT NULL, at BIGINT NOT NULL, device TEXT NOT NULL, job TEXT NOT NULL, part TEXT NOT NULL,
	keys TEXT NOT NULL, centre TEXT NOT NULL, employee TEXT NOT NULL, state BIGINT NOT NULL, status TEXT NOT NULL,
	reason TEXT NOT NULL, work TEXT NOT NULL, modules TEXT NOT NULL, starts BIGINT NOT NULL, ends BIGINT NOT NULL,
	counts BIGINT NOT NULL, good TEXT NOT NULL, waste TEXT NOT NULL, flags BIGINT NOT NULL, shifted BIGINT NOT NULL,
	file TEXT NOT NULL, line BIGINT NOT NULL, col BIGINT NOT NULL, path TEXT NOT NULL
);
CREATE INDEX ledger_entries_at ON ledger_entries (grp, at);
CREATE INDEX ledger_entries_open ON ledger_entries (grp, at) WHERE flags >= 4;
CREATE INDEX ledger_entries_job ON ledger_entries (job);
CREATE INDEX ledger_entries_starts ON ledger_entries (starts);
CREATE TABLE ledger_cells (
	grp BIGINT NOT NULL, chunk BIGINT NOT NULL, day TEXT NOT NULL, shift TEXT NOT NULL, device TEXT NOT NULL,
	centre TEXT NOT NULL, operator TEXT NOT NULL, job TEXT NOT NULL, part TEXT NOT NULL, state BIGINT NOT NULL,
	reason TEXT NOT NULL, work TEXT NOT NULL, counts BIGINT NOT NULL, good TEXT NOT NULL, waste TEXT NOT NULL,
	entries BIGINT NOT NULL
);
CREATE INDEX ledger_cells_chunk ON ledger_cells (grp, chunk);
CREATE INDEX ledger_cells_job ON ledger_cells (job);
CREATE INDEX ledger_cells_day ON ledger_cells (day, job);
CREATE TABLE ledger_used (job TEXT NOT NULL, body {blob} NOT NULL);
CREATE INDEX ledger_used_job ON ledger_used (job);

CREATE TABLE ledger_findings (
	grp BIGINT NOT NULL, job TEXT NOT NULL, at BIGINT NOT NULL, rule TEXT NOT NULL, body {blob} NOT NULL
);
CREATE INDEX ledger_findings_grp ON ledger_findings (grp, at);
CREATE INDEX ledger_findings_job ON ledger_findings (job);
CREATE TABLE ledger_doubts (key {blob} PRIMARY KEY, file TEXT NOT NULL, rule TEXT NOT NULL, body {blob} NOT NULL);
CREATE TABLE ledger_jobs (job TEXT PRIMARY KEY, dirty BIGINT NOT NULL);
CREATE INDEX ledger_jobs_dirty ON ledger_jobs (job) WHERE dirty > 0;
CREATE TABLE ledger_notes (name TEXT PRIMARY KEY, value TEXT NOT NULL)
`, `
CREATE TABLE ledger_supplies (key {blob} PRIMARY KEY, job TEXT NOT NULL, body {blob} NOT NULL);
CREATE INDEX ledger_supplies_job ON ledger_supplies (job)
`, `
CREATE TABLE ledger_sums (
	grp BIGINT NOT NULL, chunk BIGINT NOT NULL, dimension TEXT NOT NULL, key TEXT NOT NULL, device TEXT NOT NULL,
	state BIGINT NOT NULL, counts BIGINT NOT NULL, entries BIGINT NOT NULL
);
CREATE INDEX ledger_sums_chunk ON ledger_sums (grp, chunk);
CREATE INDEX ledger_sums_key ON ledger_sums (dimension, key);
DROP INDEX ledger_cells_job;
CREATE INDEX ledger_cells_job ON ledger_cells (job, state, counts, entries);
UPDATE ledger_groups SET uncut = -9223372036854775807;
CREATE TABLE ledger_purchases (
	key {blob} PRIMARY KEY, job TEXT NOT NULL, day TEXT NOT NULL, body {blob} NOT NULL
);
CREATE INDEX ledger_purchases_job ON ledger_purchases (job)
`, `
CREATE TABLE ledger_strands (
	grp BIGINT NOT NULL, strand TEXT NOT NULL, since BIGINT NOT NULL, till BIGINT NOT NULL, edge BIGINT NOT NULL,
	PRIMARY KEY (grp, strand)
);
CREATE INDEX ledger_strands_since ON ledger_strands (grp, since);
INSERT INTO ledger_strands SELECT grp, strand, MIN(since), MAX(till), MAX(edge) FROM ledger_records
	WHERE strand <> '' GROUP BY grp, strand;
CREATE TABLE ledger_reports (
	key {blob} NOT NULL, grp BIGINT NOT NULL, kind BIGINT NOT NULL, stands BIGINT NOT NULL DEFAULT 0,
	signal BIGINT NOT NULL, job TEXT NOT NULL, strand TEXT NOT NULL,
	since BIGINT NOT NULL, till BIGINT NOT NULL, edge BIGINT NOT NULL, seen BIGINT NOT NULL,
	received BIGINT NOT NULL, body {blob} NOT NULL
);
INSERT INTO ledger_reports SELECT key, grp, kind, stands, signal, job, strand, since, till, edge, seen, received, body
	FROM ledger_records ORDER BY grp, since;
DROP TABLE ledger_records;
ALTER TABLE ledger_reports RENAME TO ledger_records;
CREATE UNIQUE INDEX ledger_records_key ON ledger_records (grp, since, key);
CREATE INDEX ledger_records_run ON ledger_records (job) WHERE kind = 2;
CREATE INDEX ledger_records_received ON ledger_records (grp, seen) WHERE received > 0;
DROP INDEX ledger_cells_job;
CREATE INDEX ledger_cells_job ON ledger_cells (job);
CREATE TABLE ledger_spent (
	job TEXT PRIMARY KEY, s0 BIGINT NOT NULL, s1 BIGINT NOT NULL, s2 BIGINT NOT NULL, s3 BIGINT NOT NULL,
	s4 BIGINT NOT NULL, s5 BIGINT NOT NULL, s6 BIGINT NOT NULL, s7 BIGINT NOT NULL, entries BIGINT NOT NULL
);
INSERT INTO ledger_spent SELECT job, SUM(CASE state WHEN 0 THEN counts ELSE 0 END),
	SUM(CASE state WHEN 1 THEN counts ELSE 0 END), SUM(CASE state WHEN 2 THEN counts ELSE 0 END),
	SUM(CASE state WHEN 3 THEN counts ELSE 0 END), SUM(CASE state WHEN 4 THEN counts ELSE 0 END),
	SUM(CASE state WHEN 5 THEN counts ELSE 0 END), SUM(CASE state WHEN 6 THEN counts ELSE 0 END),
	SUM(CASE state WHEN 7 THEN counts ELSE 0 END), SUM(entries) FROM ledger_cells GROUP BY job
`}
