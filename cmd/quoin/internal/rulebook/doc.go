// Package rulebook holds the rules of the ledger and of the file of partners,
// apart from the packages that check by them: a list of all rules, as the check
// of tickets needs it, then takes neither a database nor HTTP.
package rulebook
