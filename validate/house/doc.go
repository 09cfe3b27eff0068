// Package house is how a house tells Quoin its own ways: a rules file named
// quoin.yaml, instructions inside a ticket, and a baseline of what was wrong
// already.
//
// The rules file holds these keys, all of which may be left out:
//
//	plant: plants/saltmarsh.yaml     # read beside the rules file
//	profiles: [cover, text]          # names, in the order they are asked
//	severity:
//	  ref/unused-resource: note      # note, warning or error
//	ignore:
//	  - rule: ref/unused-resource
//	    reason: the stock system writes spare stocks
//	    until: 2026-12-31            # the last day on which it holds
//	limits:
//	  max bytes: 64 MB
//	  max depth: 100
//
// In a ticket, a processing instruction silences one rule for the element that
// follows it and its attributes, not for what the element holds:
//
//	<?quoin ignore ref/unused-resource reason="spare stock"?>
//
// What is silenced does not count, but it stays in the report with its reason.
// Faults of XML can not be silenced: behind one nothing else was checked.
package house
