package rulebook

import "quoin/validate"

// What can be wrong with a file of partners.
var (
	PartnersText = &validate.Rule{
		ID: "access/text", Severity: validate.Error, Mends: validate.Plant,
		Say: "{problem}; want a list of partners, each with name, roles and token or certificate",
		Do:  "mend the file of partners",
		Why: "A file that cannot be read lets nobody in.",
	}
	PartnersKey = &validate.Rule{
		ID: "access/unknown-key", Severity: validate.Error, Mends: validate.Plant,
		Say: "{key|q} is not known here{near}; want {choices}",
		Do:  "take it out, or write it as it is known",
		Why: "A setting that is not read protects nothing.",
	}
	PartnersMissing = &validate.Rule{
		ID: "access/missing", Severity: validate.Error, Mends: validate.Plant,
		Say: "partner has no {key|q}; want {want}",
		Do:  "add it",
		Why: "A partner is known by its name and by what proves it.",
	}
	PartnersValue = &validate.Rule{
		ID: "access/value", Severity: validate.Error, Mends: validate.Plant,
		Say: "{key} is {got|q}; want {want}",
		Do:  "write it as wanted",
		Why: "A setting that is not understood protects nothing.",
	}
	PartnersTwice = &validate.Rule{
		ID: "access/twice", Severity: validate.Error, Mends: validate.Plant,
		Say: "{what} of partner {name|q} is that of {other|q} too",
		Do:  "give each partner a name and a secret of its own",
		Why: "Who is not told apart cannot be held to account.",
	}
	PartnersPlainSecret = &validate.Rule{
		ID: "access/plain-secret", Severity: validate.Error, Mends: validate.Plant,
		Say: "token stands in the file itself; want env:NAME or file:PATH",
		Do:  "move the token to a file that only the service can read, or to its environment, and change it",
		Why: "Settings are copied, shown and kept in archives; secrets must not be.",
	}
	PartnersSecret = &validate.Rule{
		ID: "access/secret", Severity: validate.Error, Mends: validate.Plant,
		Say: "token from {from|q} is not usable: {problem}",
		Do:  "set it to at least 16 characters, such as those of: openssl rand -hex 24",
		Why: "A short or empty token is guessed.",
	}
)

// Partners lists the rules of a file of partners.
func Partners() []*validate.Rule {
	return []*validate.Rule{
		PartnersText, PartnersKey, PartnersMissing, PartnersValue, PartnersTwice, PartnersPlainSecret, PartnersSecret,
	}
}
