package rulebook

import "quoin/validate"

// What reading reports and lists of purchases for the ledger can find, beside the rules of package cost.
var (
	TicketAway = &validate.Rule{
		ID: "audit/ticket-away", Severity: validate.Warning, Mends: validate.Sender,
		Say: "the ticket {url|q} that comes back with the message is not at hand; what it reports is missing",
		Do:  "give the ticket too, in the package or beside the message",
		Why: "A message that returns a queue entry only names the ticket; times and amounts are in its audit pool.",
	}
	PurchaseHeading = &validate.Rule{
		ID: "audit/purchase-heading", Severity: validate.Error, Mends: validate.Sender,
		Say: "the first line of a list of purchases names its columns, got {got|q}, want {want}",
		Do:  "begin the list with a line such as job,part,what,amount,date",
		Why: "Columns are found by their names, so that their order makes no difference.",
	}
	PurchaseValue = &validate.Rule{
		ID: "audit/purchase-value", Severity: validate.Error, Mends: validate.Sender,
		Say: "{column} of the purchase is {got|q}, want {want}",
		Do:  "correct the value and take the list again; lines that are taken already are known and change nothing",
		Why: "What is bought for a job is part of its cost, and can not be guessed. The line is left out.",
	}
	PurchaseLine = &validate.Rule{
		ID: "audit/purchase-line", Severity: validate.Error, Mends: validate.Sender,
		Say: "the line is no line of comma-separated values: {problem}",
		Do:  "put values with commas or quotation marks between quotation marks, and double those within",
		Why: "From here on it can not be told which value stands in which column.",
	}
)

// Ledger lists the rules of reading for the ledger.
func Ledger() []*validate.Rule {
	return []*validate.Rule{TicketAway, PurchaseHeading, PurchaseValue, PurchaseLine}
}
