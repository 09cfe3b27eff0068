package packages

import (
	"slices"

	"quoin/jdf/pack"
	"quoin/validate"
)

// Rules lists what the check can find beside the findings of its engine.
func Rules() []*validate.Rule {
	return slices.Concat(problemRules, contentRules, referenceRules, pdfRules)
}

// problemRules say in words what each problem of a package is.
var problemRules = []*validate.Rule{
	problemRule(pack.Damaged, "the package can not be read: {got}; want {want}",
		"send it again; the transfer may have been cut off",
		"A package that is not whole may lack the ticket or the artwork that matters."),
	problemRule(pack.TooLarge, "the package has {got}; want {want}", "raise the limit if the sender is trusted",
		"A bound on size keeps one package from taking the memory and the time of all."),
	problemRule(pack.TooManyParts, "the package has too many parts; want {want}",
		"raise the limit if the sender is trusted",
		"A bound on the number of parts keeps a package from exhausting its reader."),
	problemRule(pack.PartTooLarge, "the part unpacks to {got}; want {want}", "raise the limit if the sender is trusted",
		"A bound on what is unpacked keeps one part from taking the memory and the time of all."),
	problemRule(pack.TotalTooLarge, "the parts together unpack to more than they may; want {want}",
		"raise the limit if the sender is trusted",
		"A bound on what is unpacked keeps one package from taking the memory and the time of all."),
	problemRule(pack.Bomb, "the part has {got}; want {want}", "send the part packed in the usual way",
		"Parts that unpack to many times their size, or share their bytes, are made to exhaust a reader."),
	problemRule(pack.UnsafePath, "the name of the part is {got|q}; want {want}",
		"name the part by a path below the package, with slashes",
		"A name that leads out of the package would overwrite files wherever the package is unpacked; names in "+
			"a package are relative (Building a system chapter of the standard)."),
	problemRule(pack.DuplicateName, "the part {got|q} has the name of another; want {want}",
		"give each part a name of its own, also when case is set aside",
		"Readers differ in which of two parts they take, and many file systems do not tell case apart."),
	problemRule(pack.DuplicateID, "the Content-ID {got|q} is given twice; want {want}",
		"give each part a Content-ID of its own",
		"A Content-ID names one part of the message (RFC 2045, section 7; RFC 2392)."),
	problemRule(pack.Link, "the part is no file ({got}); want {want}", "send the file itself",
		"A link in a package can lead to any file of the machine that unpacks it."),
	problemRule(pack.Encrypted, "the part is under {got}; want {want}", "send it without a password",
		"A device has nobody to ask for a password."),
	problemRule(pack.Method, "the part is packed with {got}; want {want}", "pack it with Deflate",
		"Stored and Deflate are the methods that every reader of ZIP has (ZIP file format specification, "+
			"section 4.4.5)."),
	problemRule(pack.PartDamaged, "the bytes of the part are damaged: {got}; want {want}", "send it again",
		"A part whose bytes do not agree with what the package says of them is not what was sent."),
	problemRule(pack.Header, "a MIME header holds {got|q}; want {want}",
		"write each header field once, as Name: value, and an empty line after them",
		"Readers differ in how they take a malformed header, and so in what they see in the package (RFC 5322, "+
			"section 2.2; RFC 2045)."),
	problemRule(pack.HeaderTooLarge, "a MIME header is too large; want {want}",
		"raise the limit if the sender is trusted",
		"No honest header is this large."),
	problemRule(pack.NotRelated, "the message is {got|q}; want {want}", "send a multipart/related message",
		"Tickets travel with their files as multipart/related (RFC 2387; Building a system chapter of the standard)."),
	problemRule(pack.Boundary, "the message has {got}; want {want}", "write the head of the message with its boundary",
		"Without its boundary the parts of a message can not be told apart (RFC 2046, section 5.1.1)."),
	problemRule(pack.Truncated, "the message has no end; want {want}",
		"send it again; the transfer may have been cut off",
		"The last boundary shows that nothing is missing (RFC 2046, section 5.1.1)."),
	problemRule(pack.TransferEncoding, "the transfer encoding is {got|q}; want {want}", "send the part as base64",
		"These are the encodings of RFC 2045, section 6.1."),
	problemRule(pack.Start, "the start parameter is {got|q}, and no part has that Content-ID; want {want}",
		"name the root part, or leave start out when it is the first",
		"The start parameter names the part that is read first (RFC 2387, section 3.2)."),
	{
		ID: validate.GroupPack + "/" + string(pack.Nested), Severity: validate.Note, Mends: validate.Sender,
		Say: "the part is a package itself ({got}), and was not looked into", Do: "send {want} where they are " +
			"to be checked",
		Why: "Packages inside packages can be nested without end, so they are not followed.",
	},
	problemRule(pack.NoParts, "the package is empty; want {want}", "put the ticket or message into it",
		"A package carries at least a ticket or message."),
}

func problemRule(code pack.Code, say, do, why string) *validate.Rule {
	return &validate.Rule{
		ID: validate.GroupPack + "/" + string(code), Severity: validate.Error, Mends: validate.Sender,
		Say: say, Do: do, Why: why,
	}
}

// ofProblem turns a problem of a package into a finding.
func ofProblem(name string, p pack.Problem) validate.Finding {
	id := validate.GroupPack + "/" + string(p.Code)
	i := slices.IndexFunc(problemRules, func(r *validate.Rule) bool { return r.ID == id })
	if i < 0 {
		panic("packages: no rule for problem " + string(p.Code))
	}
	return problemRules[i].At(at(name, p.Part), validate.F("got", p.Got), validate.F("want", p.Want))
}
