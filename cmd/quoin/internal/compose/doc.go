// Package compose writes the messages of both generations, JMF and XJMF, and
// reads what is answered to them. It knows how each generation says a thing,
// and nothing of why it is said.
//
//	e := compose.New(compose.Options{Sender: "saltmarsh", Version: jdf.LastXJDF})
//	id := e.Submit(compose.Submission{URL: "cid:ticket", ReturnJMF: "https://office.example/jmf"})
//	body, media, err := compose.Package(e, compose.Attachment{ID: "ticket", Name: "4711.xjdf", Data: ticket})
//
// What a generation has no place for is left out; the comment of a field says
// which one that is.
package compose
