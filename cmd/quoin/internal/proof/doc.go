// Package proof holds the tests that prove the service as a whole: the program itself,
// run as its own process, with rehearsed machines on one side and a sender of tickets on
// the other. It kills the process, fills its disk, breaks its database and shuts its
// machines away, and counts afterwards what came of everything that was acknowledged.
//
// Its tests run small in a plain `go test`, and in full with `-full`:
//
//	go test ./cmd/quoin/internal/proof -run Rehearsal -timeout 30m -full
//
// Its benchmarks measure the same process: messages that are stored durably in a second,
// how long each waits, and the memory that it takes (-messages says after how many).
//
// There is nothing here to import.
package proof
