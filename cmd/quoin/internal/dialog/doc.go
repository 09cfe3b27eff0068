// Package dialog answers the messages that other systems send: JMF and XJMF, bare
// or in MIME and ZIP packages. It knows what a message means and how it is
// answered; what there is to say, and what becomes of it, is the business of
// Works.
//
//	endpoint := &dialog.Endpoint{Works: works, Sender: "saltmarsh"}
//	reply := endpoint.Answer(ctx, dialog.Incoming{Media: contentType, Body: body})
//
// Every question of a document is answered in the generation and version that it
// was asked in. Nothing is answered before Works has stored it. A URL in a
// message is never followed: a ticket is taken from the package that the message
// came in, or from where Works allows.
package dialog
