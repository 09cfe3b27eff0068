package plant

import "slices"

// Key describes one key of a plant file.
type Key struct {
	Entry    string // sort of entry that it stands in, such as "press"
	Name     string
	Form     string // what its value looks like
	Doc      string // what it means
	Only     string // entries that it is for, such as "offset presses"; "" for all
	Required bool   // of those entries

	By, Is string // what Only says: key By has the value Is, or is there when Is is ""

	List    bool     // the value is a list
	Table   bool     // the value is a table of steps, or one value
	Holds   string   // sort of entry of the list, or of the one group that the value is; "" for scalars
	Allowed []string // words that the value, or each of the list, can be; nil for all
}

// Keys lists the keys of plant files: those of the file itself first, then
// those of each sort of entry. It is made from the tables that decode the file.
func Keys() []Key {
	return slices.Concat(
		list(plantSchema()), list(scoreSchema()), list(palletSchema()),
		list(centreSchema()), list(shiftSchema()),
		list(pressSchema()), list(stockSpeedSchema()), list(stockWasteSchema()), list(taskSchema()), list(perfectingSchema()),
		list(guillotineSchema()), list(folderSchema()), list(foldSchema()), list(stitcherSchema()),
		list(binderSchema()), list(dieCutterSchema()), list(laminatorSchema()), list(coaterSchema()),
		list(handWorkSchema()), list(connectionSchema()), list(spoilageSchema("sheets", "colour, section, fold, side or die")),
		list(stockSchema()), list(inkSchema()), list(stockFilmSchema()),
		list(colourSchema()), list(measuringSchema()), list(zoneSchema()), list(aimsSchema()), list(solidSchema()),
		list(toneSchema()),
		list(alertsSchema()), list(noticeSchema()), list(mailSchema()),
	)
}

func list[T any](s schema[T]) []Key {
	var keys []Key
	for _, k := range s.keys {
		keys = append(keys, Key{
			Entry: s.name, Name: k.name, Form: k.form, Doc: k.doc, Required: k.required,
			Only: k.only.say, By: k.only.by, Is: k.only.is,
			List: k.outline.list, Table: k.outline.table, Holds: k.outline.entry, Allowed: k.outline.allowed,
		})
	}
	return keys
}
