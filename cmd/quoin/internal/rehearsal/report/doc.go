// Package report writes down what a rehearsed machine did as such machines
// report it: audits in the tickets that it returns, and signals on its way, in
// either generation of the standard.
package report
