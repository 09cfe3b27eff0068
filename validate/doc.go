// Package validate holds what every check of Quoin speaks in: the Rule, which
// says once what can be wrong, how heavy that is and who mends it; the
// Finding, which is one place where it is wrong, with the facts; and the
// Report, which gathers findings in a fixed order.
//
// The checks themselves live below: validate/structure holds a document
// against the standard's dictionary, validate/rules against what no schema can
// say, validate/plant against the machines of a plant. Package
// validate/render turns a Report into text or JSON.
package validate
