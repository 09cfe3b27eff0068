package render

// The parts of a SARIF log that are written. Level and severity have the same
// names in both.

const sarifSchema = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"

type sarifLog struct {
	Schema  string     `json:"$schema"`
	Version string     `json:"version"`
	Runs    []sarifRun `json:"runs"`
}

type sarifRun struct {
	Tool struct {
		Driver sarifDriver `json:"driver"`
	} `json:"tool"`
	Invocations []sarifInvocation `json:"invocations"`
	ColumnKind  string            `json:"columnKind"`
	Properties  map[string]any    `json:"properties"`
	Results     []sarifResult     `json:"results"`
}

type sarifDriver struct {
	Name  string      `json:"name"`
	Rules []sarifRule `json:"rules"`
}

type sarifRule struct {
	ID            string             `json:"id"`
	Short         sarifText          `json:"shortDescription"`
	Full          *sarifText         `json:"fullDescription,omitempty"`
	Help          *sarifText         `json:"help,omitempty"`
	Configuration sarifConfiguration `json:"defaultConfiguration"`
	Properties    map[string]any     `json:"properties"`
}

type sarifConfiguration struct {
	Level string `json:"level"`
}

type sarifText struct {
	Text string `json:"text"`
}

type sarifInvocation struct {
	Successful bool                `json:"executionSuccessful"`
	Notes      []sarifNotification `json:"toolExecutionNotifications,omitempty"`
}

type sarifNotification struct {
	Level   string    `json:"level"`
	Message sarifText `json:"message"`
}

type sarifResult struct {
	RuleID       string             `json:"ruleId"`
	RuleIndex    int                `json:"ruleIndex"`
	Level        string             `json:"level"`
	Message      sarifText          `json:"message"`
	Locations    []sarifLocation    `json:"locations,omitempty"`
	Related      []sarifLocation    `json:"relatedLocations,omitempty"`
	Suppressions []sarifSuppression `json:"suppressions,omitzero"`
	Fingerprints map[string]string  `json:"partialFingerprints"`
	Properties   map[string]any     `json:"properties"`
}

type sarifLocation struct {
	ID       *int           `json:"id,omitempty"`
	Physical sarifPhysical  `json:"physicalLocation"`
	Logical  []sarifLogical `json:"logicalLocations,omitempty"`
	Message  *sarifText     `json:"message,omitempty"`
}

type sarifPhysical struct {
	Artifact sarifArtifact `json:"artifactLocation"`
	Region   sarifRegion   `json:"region"`
}

type sarifArtifact struct {
	URI string `json:"uri"`
}

type sarifRegion struct {
	StartLine   int `json:"startLine"`
	StartColumn int `json:"startColumn"`
	EndLine     int `json:"endLine"`
	EndColumn   int `json:"endColumn"`
}

type sarifLogical struct {
	Name string `json:"fullyQualifiedName"`
}

type sarifSuppression struct {
	Kind          string         `json:"kind"`
	Justification string         `json:"justification"`
	Location      *sarifLocation `json:"location,omitempty"`
}
