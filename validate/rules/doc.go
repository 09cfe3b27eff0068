// Package rules is the stage of the check for what no schema can say: that
// references lead somewhere and to the right thing, that processes get what
// they work with, that partitions, amounts, boxes, colours and times make sense
// together, and that audits and messages tell one story.
//
// A rule is a small value in the table of its file: what it says (a
// validate.Rule), which kinds of document it is for, a ticket that breaks it
// and one that does not, and a function that looks at one document and reports.
// Rules keep no state and do not know each other. RULES.md lists them all.
package rules
