// Package office answers for the house: what the message endpoint asks of it, it
// stores and finds out in the store, and it tells those who subscribed.
//
// A document may be answered twice, when a process ended in between. What a message of
// it has done is noted in the same transaction that does it, under the document and
// the place of the message in it, until the answer is stored; the second time the note
// is the answer.
package office
