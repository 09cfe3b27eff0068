// Package works is what the service knows: one store of every message that came
// in, every ticket with its steps and history, the work that is waiting to be
// done, what has to be delivered to whom, subscriptions, devices, alerts, who did
// what, and the feed of events that boards follow.
//
// Everything is changed in transactions. Store.Write gives a Tx, whose methods
// change states, enqueue the chores that follow from the change and emit the
// events, all or nothing. So a process may end at any moment: what was
// acknowledged is there, and what had to follow from it is a chore that another
// instance, or the same one after its restart, takes up.
//
//	err := store.Write(ctx, "anna", func(tx *works.Tx) error {
//		_, err := tx.Move(id, works.Released, "asked for at the board")
//		return err
//	})
//
// The function given to Write may run more than once; it must have no effect
// outside of the transaction. Several instances share a store on PostgreSQL.
package works
