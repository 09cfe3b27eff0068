package structure

import (
	"quoin/jdf"
	"quoin/schemas"
	"quoin/validate"
)

// doubtful are cardinalities of the notes that a published sample contradicts,
// by type and first name. They are only warned of.
//
// Source: the published samples named beside each.
var doubtful = map[[2]string]string{
	{"ResponseAbortQueueEntry", "Queue"}: "jmf/abortQueueEntryResponse.jmf answers without a Queue, " +
		"and the notes on the other answers about queue entries ask for none",
	{"SignalStatus", "StatusQuParams"}: "jmf/statusSignal.jmf sends none; they matter in the query that subscribes",
}

// doubtfulSpan tells a version note that a sample contradicts. The schema takes
// a Preview in a ResourcePool for an element inside a resource, whose ID ended
// with version 1.1; but a resource in a pool can only be linked by its ID.
//
// Source: the published samples structure/legalCompletePartition.jdf and
// structure/legalIncompletePartition.jdf.
func doubtfulSpan(n jdf.Node, attr string) bool {
	return attr == "ID" && n.Is("Preview") && n.Parent().Is("ResourcePool")
}

// doubtfulLinks are links whose version notes published samples and other notes
// contradict; they are not judged by version.
//
// Source: the published samples structure/legalCompletePartition.jdf and
// structure/legalIncompletePartition.jdf.
var doubtfulLinks = map[string]string{
	"PreviewLink": "one note ends it with version 1.3, but the samples link a Preview in 1.9, " +
		"and the note on all named processes gives no end",
}

// limitSeverity is error, but for the doubtful.
func limitSeverity(in *typeInfo, l schemas.Limit) validate.Severity {
	for t := in.Type; t != nil; t = t.Base() {
		if _, ok := doubtful[[2]string{t.Name(), l.Names[0]}]; ok {
			return validate.Warning
		}
	}
	return validate.Error
}

// otherSeverity is how heavy an element in the namespace of the other generation
// is: where a wildcard takes it, a processor lets it pass.
func otherSeverity(in *typeInfo) validate.Severity {
	if in.model.Foreign() >= 0 {
		return validate.Warning
	}
	return validate.Error
}
