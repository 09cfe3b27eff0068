// Package structure holds a document against the dictionary of its generation:
// which elements stand where, how often and in which order; which attributes
// they have and what values; and what the declared version allows.
//
// It follows the published schemas as an XML Schema processor would, and goes
// beyond them in five ways:
//
//   - A JDF node and a message follow their Type even where xsi:type is left
//     out, as senders do. The links of a combined process or gray box are held
//     against all the processes that Types lists.
//   - The versions in which a name may be used, and the cardinalities that the
//     schema of the 1.x generation only notes, are checked.
//   - A partitioned resource is judged as a whole: what a partition lacks it
//     inherits from the partitions around it.
//   - Namespaces that only look like the standard's are reported; a processor
//     would let everything in them pass.
//   - A finding names the nearest right name, and where a misplaced name belongs.
//
// Uniqueness of IDs and the targets of references are not looked at here; they
// are no matter of structure.
package structure
