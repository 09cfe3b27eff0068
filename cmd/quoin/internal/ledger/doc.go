// Package ledger keeps what a plant's machines reported, and what it came to,
// in a database: SQLite in a file, or PostgreSQL.
//
// Every report is kept once, by the hash of its content, with the place it was
// first read from. What they come to is settled a device at a time and kept
// beside them: entries, cells of the calendar, uses and findings. The ledger
// depends on the reports alone, not on the order or the number of imports that
// brought them.
//
// An import settles only what it touched. A device's records of years are not
// settled again when one of today comes in: settling begins at the last quiet
// point before the earliest change (see cost.QuietPoints). What still has to be
// settled is noted in the same transaction that keeps the reports, so that an
// import that was cut off is finished by the next.
package ledger
