// Package alerts tells people when something goes wrong: a job that falls behind,
// a machine that stands or says nothing, too much waste, colour that is out or
// drifts, refused tickets, deliveries that fail, a disk that fills up. The limits
// stand in the plant file.
//
// Look finds what is wrong now. What was found becomes alerts in the store, one
// for each matter however often it is seen; it is closed when the matter has been
// past for a while, so that what comes and goes does not cry each time. New alerts
// are gathered and go out in one notice, beside the board, by webhook or mail.
package alerts
