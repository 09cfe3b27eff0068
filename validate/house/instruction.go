package house

import (
	"regexp"
	"slices"
	"strings"
	"sync"

	"quoin/jdf"
	"quoin/validate"
)

// target is the name of the processing instructions that are ours.
const target = "quoin"

const wantInstruction = `write <?quoin ignore RULE-ID reason="why"?>`

// instructionText is what stands behind the target and the white space after it.
var instructionText = sync.OnceValue(func() *regexp.Regexp {
	return regexp.MustCompile(`^ignore\s+(\S+)\s+reason\s*=\s*(?:"([^"]*)"|'([^']*)')\s*$`)
})

// Stage makes the stage that reports instructions which are not understood.
// It belongs where Settings.Instructions is set. Known are the ids of all rules.
func Stage(known []string) validate.Stage {
	return validate.Stage{
		Name:  "house",
		Rules: []*validate.Rule{instructionRule},
		Check: func(s *validate.Subject, report func(validate.Finding)) error {
			_, bad := instructions(s.Doc, known)
			for _, f := range bad {
				report(f)
			}
			return nil
		},
	}
}

// silences are those of a document, by the index of the element they stand
// in front of, then by rule.
type silences map[int]map[string]*validate.Silence

// instructions finds the silences that a document asks for, and what is wrong
// with the others.
func instructions(doc *jdf.Document, known []string) (silences, []validate.Finding) {
	if !strings.Contains(doc.Source.Text, "<?"+target) {
		return nil, nil
	}
	all := silences{}
	var bad []validate.Finding
	waiting := map[int][]jdf.Node{} // by the element around them
	for i := 1; i < doc.Len(); i++ {
		n := doc.Node(i)
		parent := n.Parent().Index()
		switch {
		case n.Kind() == jdf.KindInstruction && n.Local() == target:
			waiting[parent] = append(waiting[parent], n)
		case n.Kind() == jdf.KindElement && len(waiting[parent]) > 0:
			for _, instruction := range waiting[parent] {
				if problem, near := all.take(instruction, i, known); problem != "" {
					bad = append(bad, misread(instruction, problem, near))
				}
			}
			delete(waiting, parent)
		}
	}
	for _, left := range waiting {
		for _, instruction := range left {
			bad = append(bad, misread(instruction, "no element follows it", "put it in front of the element"))
		}
	}
	slices.SortFunc(bad, validate.Finding.Compare)
	return all, bad
}

// take adds the silence of an instruction, or says what is wrong with it.
func (s silences) take(instruction jdf.Node, element int, known []string) (problem, near string) {
	m := instructionText().FindStringSubmatch(instruction.Text())
	if m == nil {
		return "it is malformed", wantInstruction
	}
	id, reason := m[1], strings.TrimSpace(m[2]+m[3])
	switch {
	case !slices.Contains(known, id):
		if near = validate.Suggest(id, known); near == "" {
			near = "name a rule by its id"
		}
		return "there is no such rule", near
	case fixedID(id):
		return "this rule can not be silenced", "take the instruction out, and mend the file"
	case reason == "":
		return "it gives no reason", wantInstruction
	}
	if s[element] == nil {
		s[element] = map[string]*validate.Silence{}
	}
	s[element][id] = &validate.Silence{Reason: reason, Place: instruction.Place()}
	return "", ""
}

func misread(instruction jdf.Node, problem, near string) validate.Finding {
	return instructionRule.At(instruction.Place(),
		validate.F("got", strings.TrimSpace(instruction.Text())), validate.F("problem", problem), validate.F("near", near))
}
