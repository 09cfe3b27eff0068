// Package render writes a validate.Report: as text and as an HTML page for
// people, as JSON, SARIF and JUnit for programs.
//
// All forms say the same: each finding with its place, rule, severity, facts
// and who mends it; how many findings are not shown; and which ones the house
// has silenced and why. Whatever comes out of a ticket is made harmless first,
// so that a ticket can neither steer a terminal nor write into a page.
package render
