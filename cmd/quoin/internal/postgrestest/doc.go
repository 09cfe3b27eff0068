// Package postgrestest starts a PostgreSQL server of its own for a test, from the
// programs of Debian's package, and stops it with the test. Without them the
// test is skipped, but for CI, where it fails.
package postgrestest
