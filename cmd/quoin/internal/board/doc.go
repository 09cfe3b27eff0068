// Package board is the pages of the service for people: the jobs with their steps,
// the devices, the schedule, each ticket, what came in and went out, alerts and
// reports.
//
// Every page is made by the server, reads without a script, and asks for nothing
// outside of the service. What a person can do is a form. The script in
// static/board.js follows the events of the store and fetches the page again when a
// part of it has changed; it takes only the parts that are marked as live.
//
// States are told by a word and a shape. Times are those of the plant's zone, which
// every page names.
package board
