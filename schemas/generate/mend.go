package main

import (
	"regexp"
	"strings"
)

// The published notes hold slips of the pen. Those that can be told for what
// they were meant are mended here, each with a line on standard error.

// misspelt are names that the release does not declare, and what they stand for.
var misspelt = map[string]string{
	"ResourcesLinkPool":        "ResourceLinkPool",
	"SizeIntentIntentLink":     "SizeIntentLink",
	"VariableIntentIntentLink": "VariableIntentLink",
	"@RemotePipEndPause":       "@RemotePipeEndPause",
	"@RemotePipEndResume":      "@RemotePipeEndResume",
	"AdressRef":                "AddressRef",
	"PRGoupOccurrence":         "PRGroupOccurrence",
	"@MustHonorException":      "@MustHonorExceptions",
	"@MarkOrientation.":        "@MarkOrientation",

	"@AllowRotateMod":              "@AllowedRotateMod",
	"@DependantMacroRef":           "@DependentMacroRef",
	"@PeflightStatus":              "@PreflightStatus",
	"@PerserveHalftoneInfo":        "@PreserveHalftoneInfo",
	"BusniessInfo":                 "BusinessInfo",
	"ColorMeasurmentConditions":    "ColorMeasurementConditions",
	"ColorMeasurmentConditionsRef": "ColorMeasurementConditionsRef",
	"CustomerMessge":               "CustomerMessage",
	"Empoyee":                      "Employee",
	"EmpoyeeRef":                   "EmployeeRef",
	"Filespec":                     "FileSpec",
	"IdentifiationField":           "IdentificationField",
	"IdentifiationFieldRef":        "IdentificationFieldRef",
	"LayouRef":                     "LayoutRef",
	"PrintinUnitWebPath":           "PrintingUnitWebPath",
	"ReourceLinkPool":              "ResourceLinkPool",
	"ResistrationQuality":          "RegistrationQuality",
	"Term":                         "AbstractTerms",
}

// byClass are conditions on the class of a resource, and the types that the
// resources of those classes are derived from. The leaves of a partitioned
// resource have types of their own beside them.
var byClass = map[string][]string{
	`.[@Class="Parameter"]`: {"ParameterResource", "ParameterResourceLeaf"},
	`.[@Class="Consumable" or @Class="Handling" or @Class="Quantity"]`: {
		"PhysicalResource", "PhysicalResourceLeaf",
	},
}

// ignored are paths that say nothing that can be checked.
var ignored = map[string]string{
	"@xmlns":            "a namespace declaration is no attribute",
	"@xsi:type":         "belongs to XML Schema, not to the standard",
	"./*/@xsi:type":     "belongs to XML Schema, not to the standard",
	"*":                 "a limit on all children together is not meant for the generic ones",
	"/*":                "a limit on all children together is not meant for the generic ones",
	"@CommentURL/@Path": "an attribute has no attributes",
}

// condition writes FileSpec@ResourceUsage="X" and FileSpec/@ResourceUsage="X"
// and FileSpec[ResourceUsage='X'], and knows the proper FileSpec[@ResourceUsage='X'].
var condition = regexp.MustCompile(`^(.*?\w)(?:/?@|\[@?)(\w+)=["'](\w+)["']\]?(/\w+)?$`)

// mendPath brings a path into the form of the tables: steps joined by slashes,
// alternatives joined by bars, a condition as Name[@Attr=value]. It answers ""
// for a path that is not used.
func (r *reader) mendPath(path string, f *fact, where string) string {
	if why, ok := ignored[strings.TrimSpace(path)]; ok {
		r.note("%s: not used: %s", where, why)
		return ""
	}
	if m := condition.FindStringSubmatch(path); m != nil && !strings.HasPrefix(path, ".") {
		if strings.HasPrefix(path, linkPool) {
			f.wants = m[3]
			return m[1]
		}
		proper := m[1] + "[@" + m[2] + "=" + m[3] + "]" + m[4]
		if strings.ReplaceAll(strings.ReplaceAll(path, `'`, ""), `"`, "") != proper {
			r.note("%s: read as %s", where, proper)
		}
		return proper
	}
	clean := strings.TrimSpace(path)
	for cond := range byClass {
		if rest, ok := strings.CutPrefix(clean, cond+"/"); ok {
			return cond + "/" + r.mendSteps(rest, where)
		}
	}
	clean = strings.TrimPrefix(strings.TrimPrefix(clean, "./*/"), "./")
	if strings.ContainsRune(clean, ' ') {
		return strings.ReplaceAll(clean, " ", "|")
	}
	return r.mendSteps(clean, where)
}

func (r *reader) mendSteps(path, where string) string {
	steps := strings.Split(path, "/")
	for i, step := range steps {
		if right, ok := misspelt[step]; ok {
			r.note("%s: read %s as %s", where, step, right)
			steps[i] = right
		}
	}
	return strings.Join(steps, "/")
}
