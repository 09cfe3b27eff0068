package queue_test

import (
	"fmt"

	"quoin/cmd/quoin/internal/queue"
)

func Example() {
	entry := queue.Standing{State: queue.Running, Returns: true}
	for _, event := range []queue.Event{queue.Hold, queue.Suspend, queue.Abort, queue.Return} {
		next, code := entry.After(event)
		fmt.Printf("%s: %s, return code %d\n", event, next.State, code)
		entry = next
	}
	// Output:
	// Hold: Running, return code 106
	// Suspend: Suspended, return code 0
	// Abort: PendingReturn, return code 0
	// Return: Aborted, return code 0
}
