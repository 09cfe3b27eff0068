package works

// migrations are the steps by which the tables came to be. Steps are only ever
// added, and never changed; see database.DB.Migrate.
func migrations() []string {
	return []string{
		basicTables + inboxTable + ticketTables + stepTable + choreTable + deliveryTable + subscriptionTable +
			deviceTable + alertTable + logTables,
		customerStep,
	}
}

// The tables of the first step. Times are microseconds UTC, 0 for none; yes and no
// are 1 and 0; exact numbers are text.
const (
	// What the customer is looked for by is filled in by foldCustomers. The index is for
	// retention, which asks of each message whether a ticket came with it.
	customerStep = `
ALTER TABLE tickets ADD COLUMN customer_search TEXT NOT NULL DEFAULT '';
CREATE INDEX tickets_by_inbox ON tickets (inbox);
`

	basicTables = `
CREATE TABLE blobs (hash TEXT PRIMARY KEY, size BIGINT NOT NULL, stored BIGINT NOT NULL, data {blob} NOT NULL);
CREATE TABLE counters (name TEXT PRIMARY KEY, n BIGINT NOT NULL);
CREATE TABLE settings (name TEXT PRIMARY KEY, value TEXT NOT NULL);
`

	inboxTable = `
CREATE TABLE inbox (id {id}, partner TEXT NOT NULL, source TEXT NOT NULL, origin TEXT NOT NULL, name TEXT NOT NULL,
	media TEXT NOT NULL, message_id TEXT NOT NULL, blob TEXT NOT NULL, size BIGINT NOT NULL, at BIGINT NOT NULL,
	clash BIGINT NOT NULL, repeats BIGINT NOT NULL DEFAULT 0, same TEXT UNIQUE, answered BIGINT NOT NULL DEFAULT 0,
	answer_status BIGINT NOT NULL DEFAULT 0, answer_code BIGINT NOT NULL DEFAULT 0,
	answer_media TEXT NOT NULL DEFAULT '', answer_blob TEXT NOT NULL DEFAULT '');
CREATE INDEX inbox_by_message ON inbox (partner, message_id) WHERE message_id <> '';
CREATE INDEX inbox_by_blob ON inbox (blob);
CREATE INDEX inbox_by_answer ON inbox (answer_blob) WHERE answer_blob <> '';
`

	ticketTables = `
CREATE TABLE tickets (id {id}, version BIGINT NOT NULL, job TEXT NOT NULL, part TEXT NOT NULL, name TEXT NOT NULL,
	customer TEXT NOT NULL, product TEXT NOT NULL, ordered TEXT NOT NULL, due BIGINT NOT NULL, priority BIGINT NOT NULL,
	place BIGINT NOT NULL, partner TEXT NOT NULL, return_url TEXT NOT NULL, return_jmf TEXT NOT NULL,
	generation TEXT NOT NULL, dialect TEXT NOT NULL, inbox BIGINT NOT NULL, blob TEXT NOT NULL, media TEXT NOT NULL,
	file TEXT NOT NULL, state TEXT NOT NULL, entry TEXT NOT NULL, reason TEXT NOT NULL, received BIGINT NOT NULL,
	changed BIGINT NOT NULL, outcome TEXT NOT NULL, errors BIGINT NOT NULL, warnings BIGINT NOT NULL,
	findings TEXT NOT NULL, plan TEXT NOT NULL, start_at BIGINT NOT NULL, end_at BIGINT NOT NULL,
	returned TEXT NOT NULL, source TEXT UNIQUE, search TEXT NOT NULL);
CREATE INDEX tickets_by_state ON tickets (state, changed);
CREATE INDEX tickets_by_job ON tickets (job);
CREATE INDEX tickets_by_change ON tickets (changed);
CREATE TABLE turns (id {id}, ticket BIGINT NOT NULL, step BIGINT NOT NULL, name TEXT NOT NULL, at BIGINT NOT NULL,
	from_state TEXT NOT NULL, to_state TEXT NOT NULL, reason TEXT NOT NULL, who TEXT NOT NULL, instance TEXT NOT NULL);
CREATE INDEX turns_by_ticket ON turns (ticket, id);
`

	stepTable = `
CREATE TABLE steps (id {id}, ticket BIGINT NOT NULL, version BIGINT NOT NULL, current BIGINT NOT NULL,
	number BIGINT NOT NULL, part TEXT NOT NULL, name TEXT NOT NULL, process TEXT NOT NULL, device TEXT NOT NULL,
	cost_centre TEXT NOT NULL, needs TEXT NOT NULL, start_at BIGINT NOT NULL, end_at BIGINT NOT NULL,
	makeready BIGINT NOT NULL, run BIGINT NOT NULL, target TEXT NOT NULL, waste TEXT NOT NULL, unit TEXT NOT NULL,
	state TEXT NOT NULL, reason TEXT NOT NULL, changed BIGINT NOT NULL, tries BIGINT NOT NULL DEFAULT 0,
	ticket_blob TEXT NOT NULL DEFAULT '', ticket_name TEXT NOT NULL DEFAULT '', ticket_media TEXT NOT NULL DEFAULT '',
	queued TEXT NOT NULL DEFAULT '', began BIGINT NOT NULL DEFAULT 0, ended BIGINT NOT NULL DEFAULT 0,
	good TEXT NOT NULL DEFAULT '0', spoilt TEXT NOT NULL DEFAULT '0', heard BIGINT NOT NULL DEFAULT 0,
	returned TEXT NOT NULL DEFAULT '');
CREATE INDEX steps_by_ticket ON steps (ticket, number);
CREATE INDEX steps_by_device ON steps (device, state);
`

	choreTable = `
CREATE TABLE chores (id {id}, kind TEXT NOT NULL, subject TEXT NOT NULL, version TEXT NOT NULL, data {blob},
	lane TEXT NOT NULL, state TEXT NOT NULL, attempts BIGINT NOT NULL DEFAULT 0, retry_first BIGINT NOT NULL,
	retry_most BIGINT NOT NULL, retry_attempts BIGINT NOT NULL, retry_until BIGINT NOT NULL, next BIGINT,
	created BIGINT NOT NULL, finished BIGINT NOT NULL DEFAULT 0, owner TEXT NOT NULL DEFAULT '',
	fence BIGINT NOT NULL DEFAULT 0, error TEXT NOT NULL DEFAULT '', UNIQUE (kind, subject, version));
CREATE INDEX chores_free ON chores (next, id) WHERE next IS NOT NULL AND lane = '';
CREATE INDEX chores_in_lane ON chores (lane, id) WHERE next IS NOT NULL AND lane <> '';
CREATE INDEX chores_by_state ON chores (state, finished);
`

	deliveryTable = `
CREATE TABLE deliveries (id {id}, key TEXT NOT NULL UNIQUE, kind TEXT NOT NULL, device TEXT NOT NULL,
	partner TEXT NOT NULL, address TEXT NOT NULL, media TEXT NOT NULL, name TEXT NOT NULL, blob TEXT NOT NULL,
	ticket BIGINT NOT NULL, step BIGINT NOT NULL, channel BIGINT NOT NULL, ordered BIGINT NOT NULL,
	state TEXT NOT NULL, attempts BIGINT NOT NULL DEFAULT 0, error TEXT NOT NULL DEFAULT '', created BIGINT NOT NULL,
	changed BIGINT NOT NULL, answered BIGINT NOT NULL DEFAULT 0, answer_status BIGINT NOT NULL DEFAULT 0,
	answer_code BIGINT NOT NULL DEFAULT 0, answer_media TEXT NOT NULL DEFAULT '', answer_blob TEXT NOT NULL DEFAULT '');
CREATE INDEX deliveries_by_state ON deliveries (state, changed);
CREATE INDEX deliveries_by_ticket ON deliveries (ticket) WHERE ticket <> 0;
`

	subscriptionTable = `
CREATE TABLE subscriptions (id {id}, side TEXT NOT NULL, peer TEXT NOT NULL, channel TEXT NOT NULL,
	query TEXT NOT NULL, dialect TEXT NOT NULL, url TEXT NOT NULL, repeat_time BIGINT NOT NULL,
	repeat_step BIGINT NOT NULL, reliable BIGINT NOT NULL, filter {blob}, since BIGINT NOT NULL,
	last BIGINT NOT NULL, next BIGINT NOT NULL, amount TEXT NOT NULL, n BIGINT NOT NULL, state TEXT NOT NULL,
	UNIQUE (side, peer, channel));
`

	deviceTable = `
CREATE TABLE devices (id TEXT PRIMARY KEY, name TEXT NOT NULL, url TEXT NOT NULL, folder TEXT NOT NULL,
	dialect TEXT NOT NULL, removed BIGINT NOT NULL, heard BIGINT NOT NULL DEFAULT 0, said BIGINT NOT NULL DEFAULT 0,
	state TEXT NOT NULL DEFAULT '', details TEXT NOT NULL DEFAULT '', job TEXT NOT NULL DEFAULT '',
	part TEXT NOT NULL DEFAULT '', since BIGINT NOT NULL DEFAULT 0, counter TEXT NOT NULL DEFAULT '',
	speed TEXT NOT NULL DEFAULT '');
`

	alertTable = `
CREATE TABLE alerts (id {id}, kind TEXT NOT NULL, key TEXT NOT NULL, severity TEXT NOT NULL, text TEXT NOT NULL,
	ticket BIGINT NOT NULL, device TEXT NOT NULL, state TEXT NOT NULL, first BIGINT NOT NULL, last BIGINT NOT NULL,
	n BIGINT NOT NULL, who TEXT NOT NULL DEFAULT '', acked BIGINT NOT NULL DEFAULT 0,
	closed BIGINT NOT NULL DEFAULT 0, live TEXT UNIQUE);
CREATE INDEX alerts_by_state ON alerts (state, last);
`

	logTables = `
CREATE TABLE log (id {id}, at BIGINT NOT NULL, who TEXT NOT NULL, instance TEXT NOT NULL, action TEXT NOT NULL,
	subject TEXT NOT NULL, detail TEXT NOT NULL);
CREATE INDEX log_by_subject ON log (subject, id);
CREATE TABLE events (seq BIGINT PRIMARY KEY, at BIGINT NOT NULL, kind TEXT NOT NULL, ticket BIGINT NOT NULL,
	device TEXT NOT NULL, id BIGINT NOT NULL, state TEXT NOT NULL, text TEXT NOT NULL);
CREATE INDEX events_by_time ON events (at);
`
)
