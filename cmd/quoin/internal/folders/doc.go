// Package folders watches hot folders. A folder has four in it: what is put into "in"
// is moved to "work" once it is whole, taken, and moved to "done", or to "refused" with
// a report of the findings beside it.
//
// A file is whole when its size and time have not changed for a while and, where the
// system tells, nobody has it open for writing. Every move is a rename, so that a file
// is in one of the folders at any moment. One that is found in "work" at the start was
// left there by a process that ended, and is taken up again under the same id, by which
// it is known to have been taken.
//
// Changes are noticed by the system's notifications and by looking from time to time,
// since network shares send none.
package folders
