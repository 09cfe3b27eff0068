// Command generate reads a published schema release and writes the tables of
// package schemas.
//
//	go run ./schemas/generate -jdf DIR -xjdf DIR [-out DIR] [-check]
//
// -jdf names the folder of the JDF 1.x XSDs, -xjdf the folder of the XJDF 2.x
// XSD. The tables jdf.tab and xjdf.tab are written to -out (default: schemas).
// With -check nothing is written; the exit status is 1 when a table in -out
// differs from what would be written. What was mended in the published notes,
// and what could not be used, is listed on standard error.
package main

import "os"

func main() {
	os.Exit(run(os.Args[1:], os.Stdout, os.Stderr))
}
