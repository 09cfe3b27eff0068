// Package deliver writes what goes out to devices and to the senders of tickets, and
// sends it: by HTTP to hosts of the allow-list, or into hot folders.
//
// What is sent has one id however often it is sent, so that a receiver who keeps ids
// takes it once. A file for a hot folder appears whole under its name, and once: that
// it was written is noted in the store before it gets its name.
package deliver
