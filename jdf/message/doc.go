// Package message reads what machines and controllers tell each other: JMF and
// XJMF documents, of which each holds one or more messages of one sender.
//
// What a Status, Resource or Notification message reports of the shop floor
// comes out as job.Audit values, the same as those of the audit pools of
// tickets, so that costs are collected from both in one way.
package message
