package render

import (
	"strings"

	"quoin/convert/cost/account"
)

func materialsSheet(s *account.Statement) sheet {
	columns := []column{
		{"Job", text}, {"Part", text}, {"Device", text}, {"Kind", text}, {"Name", text}, {"Lots", text}, {"Quantity", number},
		{"Unit", text}, {"Kilograms", number}, {"Planned", number}, {"Cost", amountOfMoney},
		{"Planned cost", amountOfMoney}, {"Reported", text},
	}
	return sheet{"materials", columns, len(s.Materials), func(row, col int) any {
		m := &s.Materials[row]
		reported := "yes"
		if !m.Reported {
			reported = "worked out"
		}
		return []any{m.Job, m.Part, m.Device, m.Kind, m.Name, strings.Join(m.Lots, " "), m.Quantity,
			m.Unit, m.Kilos, m.Planned, m.Cost, m.PlanCost, reported}[col]
	}}
}

func shiftsSheet(s *account.Statement) sheet {
	columns := []column{
		{"Device", text}, {"Day", day}, {"Shift", text}, {"Busy", length}, {"Run", length}, {"Standard", length},
		{"Good", number}, {"Waste", number}, {"Availability", ratio}, {"Performance", ratio}, {"Quality", ratio},
		{"OEE", ratio},
	}
	return sheet{"shifts", columns, len(s.Shifts), func(row, col int) any {
		x := &s.Shifts[row]
		return []any{x.Device, x.Day, x.Shift, x.Busy, x.Run, x.Standard, x.Good, x.Waste,
			x.OEE.Availability, x.OEE.Performance, x.OEE.Quality, x.OEE.Overall}[col]
	}}
}

func stopsSheet(s *account.Statement) sheet {
	columns := []column{
		{"Reason", text}, {"Devices", text}, {"Time", length}, {"Stops", number}, {"Cost", amountOfMoney},
		{"Rank by time", number}, {"Rank by count", number}, {"Rank by cost", number},
	}
	return sheet{"stops", columns, len(s.Stops), func(row, col int) any {
		x := &s.Stops[row]
		return []any{x.Reason, strings.Join(x.Devices, " "), x.Time, x.Count, x.Cost, x.ByTime, x.ByCount, x.ByCost}[col]
	}}
}

func deviationsSheet(s *account.Statement) sheet {
	columns := []column{
		{"Job", text}, {"Part", text}, {"Customer", text}, {"Device", text}, {"Planned", amountOfMoney},
		{"Actual", amountOfMoney}, {"Quantity", amountOfMoney}, {"Time", amountOfMoney}, {"Rate", amountOfMoney},
		{"Waste", amountOfMoney}, {"Changeover", amountOfMoney}, {"Scope", amountOfMoney}, {"Difference", amountOfMoney},
		{"In words", text},
	}
	return sheet{"deviations", columns, len(s.Deviations), func(row, col int) any {
		d := &s.Deviations[row]
		v := &d.Variance
		return []any{d.Job, d.Part, d.Customer, d.Device, d.Plan, d.Actual, v.Quantity, v.Time, v.Rate, v.Waste,
			v.Changeover, v.Scope, v.Total, sentence(d.Words)}[col]
	}}
}

func deliveriesSheet(s *account.Statement) sheet {
	columns := []column{
		{"Job", text}, {"Customer", text}, {"Ordered", number}, {"Delivered", number}, {"Shipped", text},
		{"Least", number}, {"Most", number}, {"Outcome", text}, {"To bill", number},
	}
	return sheet{"deliveries", columns, len(s.Deliveries), func(row, col int) any {
		d := &s.Deliveries[row]
		shipped := "as counted"
		if d.Shipped {
			shipped = "shipped"
		}
		return []any{d.Job, d.Customer, d.Ordered, d.Delivered, shipped, d.Least, d.Most, string(d.Outcome), d.Bill}[col]
	}}
}

// sentence is text of our own that may quote a ticket, and is longer than a name.
type sentence string
