package plant

// Key describes one key of a plant file.
type Key struct {
	Entry    string // sort of entry that it stands in, such as "press"
	Name     string
	Form     string // what its value looks like
	Doc      string // what it means
	Only     string // entries that it is for, such as "offset presses"; "" for all
	Required bool   // of those entries
}

// Keys lists the keys of plant files: those of the file itself first, then
// those of each sort of entry. It is made from the tables that decode the file.
func Keys() []Key {
	var all []Key
	all = append(all, list(plantSchema())...)
	all = append(all, list(centreSchema())...)
	all = append(all, list(pressSchema())...)
	all = append(all, list(perfectingSchema())...)
	all = append(all, list(guillotineSchema())...)
	all = append(all, list(folderSchema())...)
	all = append(all, list(foldSchema())...)
	all = append(all, list(stitcherSchema())...)
	all = append(all, list(binderSchema())...)
	all = append(all, list(spoilageSchema("sheets", "colour, section or fold"))...)
	return append(all, list(stockSchema())...)
}

func list[T any](s schema[T]) []Key {
	var keys []Key
	for _, k := range s.keys {
		keys = append(keys, Key{s.name, k.name, k.form, k.doc, k.only.say, k.required})
	}
	return keys
}
