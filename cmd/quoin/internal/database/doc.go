// Package database is the one way to the store of a plant: an SQLite file, or a
// PostgreSQL server when several instances share the work.
//
// Statements are written once, for both: parameters are question marks, times
// are microseconds of UTC in BIGINT, exact numbers are TEXT, and the words that
// differ stand in braces in the migrations (see DB.Migrate).
//
// What Write returns nil for has reached the disk: SQLite runs with a
// write-ahead log that is synced at every commit, PostgreSQL with its own.
package database
