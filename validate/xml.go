package validate

import "quoin/jdf"

// xmlRules says in words what each fault of reading is. All of them are for
// the sender to mend.
var xmlRules = []*Rule{
	xmlRule(jdf.FaultEncoding, "found {got}; the encoding says {want}",
		"save the file in the encoding that its first line names, or name the one it is in",
		"A reader must take the declared encoding at its word (XML 1.0, section 4.3.3); letters outside ASCII would be guessed."),
	xmlRule(jdf.FaultEncodingUnknown, "the encoding is {got|q}; want UTF-8, UTF-16, ISO-8859-1, windows-1252 or US-ASCII",
		"save the file as UTF-8",
		"XML 1.0, section 4.3.3 asks readers for UTF-8 and UTF-16 only; Quoin reads the two single-byte encodings that old senders use beside them."),
	xmlRule(jdf.FaultTooLarge, "the file is larger than {want} bytes",
		"raise the limit with --max-bytes if the sender is trusted",
		"A bound on size keeps one file from taking the memory of all."),
	xmlRule(jdf.FaultTooDeep, "elements are nested more than {want} deep",
		"raise the limit with --max-depth if the sender is trusted",
		"No ticket of the standard nests this deep; files made to exhaust a reader do."),
	xmlRule(jdf.FaultTooMany, "the file has more than {want} {got}",
		"split the file, or mend its writer; reading stopped here",
		"Bounds on names, attributes and faults keep one file from taking the memory of all."),
	xmlRule(jdf.FaultDTD, "a document type declaration is not taken",
		"take the DOCTYPE out; tickets are described by namespaces",
		"A document type can make a reader expand or fetch without bound; the standard uses none."),
	xmlRule(jdf.FaultEntity, "the entity {got} is not one of lt, gt, amp, quot and apos",
		"write the character itself",
		"Entities beyond XML's five (XML 1.0, section 4.6) need a document type declaration, which is not taken."),
	xmlRule(jdf.FaultReference, "a bare & starts no reference; want {want}", "write &amp;",
		"XML 1.0, section 2.4: & stands only at the start of a reference."),
	xmlRule(jdf.FaultCharacter, "{got} is not a character that XML allows", "take it out",
		"XML 1.0, section 2.2 leaves out control characters and surrogates, also as references."),
	xmlRule(jdf.FaultDeclaration, "the XML declaration is {got|q}; want {want}",
		"write it as the first thing in the file, with nothing before it, or leave it out",
		"XML 1.0, section 2.8."),
	xmlRule(jdf.FaultName, "{got|q} is not a name; want {want}", "",
		"XML 1.0, section 2.3, and Namespaces in XML 1.0, section 4."),
	xmlRule(jdf.FaultSyntax, "found {got|q}; want {want}",
		"have the file written by an XML library; in a value < is &lt;, & is &amp; and \" is &quot;",
		"The text is not well-formed XML 1.0."),
	xmlRule(jdf.FaultTag, "found {got}; want {want}", "close the elements in the order in which they were opened, innermost first",
		"XML 1.0, section 3: each start tag has its end tag, properly nested."),
	xmlRule(jdf.FaultTruncated, "{got} is not finished; want {want}",
		"send the whole file; the transfer may have been cut off",
		"A ticket that stops half-way may lack the steps that matter."),
	xmlRule(jdf.FaultNotXML, "the file is {got}; want {want}",
		"send the ticket or message itself, and look why this was sent in its place",
		"What begins like this is no XML; nothing in it can be held against the standard."),
	xmlRule(jdf.FaultNoRoot, "the file holds no element", "send a ticket or message",
		"XML 1.0, section 2.1: a document has one root element."),
	xmlRule(jdf.FaultSecondRoot, "{got|q} is a second root element", "send one ticket a file, or a package",
		"XML 1.0, section 2.1: a document has one root element."),
	xmlRule(jdf.FaultOutside, "{got|q} stands outside the root element; want {want}", "take it out",
		"XML 1.0, section 2.1: only comments, instructions and white space may stand beside the root."),
	xmlRule(jdf.FaultDuplicateAttribute, "the attribute {got|q} is given twice", "keep one of them",
		"XML 1.0, section 3.1: no attribute name may appear more than once in a tag; readers differ in which one they keep."),
	xmlRule(jdf.FaultUnboundPrefix, "the prefix {got|q} is not bound to a namespace", "declare it with xmlns:",
		"Namespaces in XML 1.0, section 5: a prefix must be declared where it is used."),
	xmlRule(jdf.FaultNamespace, "{got} may not be declared here", "",
		"Namespaces in XML 1.0, section 3, reserves the prefixes xml and xmlns and their namespaces."),
}

func xmlRule(code jdf.FaultCode, say, do, why string) *Rule {
	return &Rule{ID: GroupXML + "/" + string(code), Severity: Error, Mends: Sender, Say: say, Do: do, Why: why}
}

// XMLRules lists the rules of the xml group.
func XMLRules() []*Rule { return xmlRules }

// OfFault turns a fault of reading into a finding.
func OfFault(f jdf.Fault) Finding {
	id := GroupXML + "/" + string(f.Code)
	for _, r := range xmlRules {
		if r.ID == id {
			return r.At(f.Place, F("got", f.Got), F("want", f.Want)).With(f.Related, "the other end is here")
		}
	}
	panic("validate: no rule for fault " + string(f.Code))
}
