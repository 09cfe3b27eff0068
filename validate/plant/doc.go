// Package plant loads the capability file of a plant, and holds a job against
// what its machines can do.
//
// A plant file is plain YAML with units written out:
//
//	presses:
//	  - id: offset-b2
//	    kind: offset
//	    cost centre: press-b2
//	    max sheet: 750 x 530 mm
//	    grammage: 60 - 350 g/m2
//	    speed:
//	      up to 250 g/m2: 11000 sheets/h
//	      above: 8800 sheets/h
//
// Each sort of entry is a table of keys (keys_*.go); the same tables decode the
// file and describe it, see Keys. Mistakes are findings at the line and column
// of the value, beside a Plant that holds what could be read.
//
// A plant may be a folder of such files, see LoadFiles. Review looks for what
// does not fit together in a plant that loads, Show prints it for people, and
// JSONSchema describes its files for editors.
//
// The check works on pieces of work (work.go): what one step of the ticket asks
// of one machine. Each kind of machine has a table of limits (limit_*.go); one
// judgement holds all work against all machines of a kind (judge.go). Where none
// can, the nearest change that lets one is searched for (nearest.go).
package plant
