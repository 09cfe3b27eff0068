package cost_test

import (
	"path/filepath"
	"testing"
	"time"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"quoin/convert/cost"
	"quoin/convert/emit"
	"quoin/convert/plan"
	"quoin/jdf"
	"quoin/jdf/job"
	"quoin/validate/plant"
)

var stamped = time.Date(2026, 3, 2, 7, 0, 0, 0, time.UTC)

// planned plans a ticket of the demo and reads the tickets that are written of
// the plan, in one of the forms.
func planned(t *testing.T, name string, as emit.Form) (*plan.Plan, *cost.Said) {
	t.Helper()
	demo := filepath.Join("..", "..", "testdata")
	works, _, err := plant.LoadFile(filepath.Join(demo, "plant", "saltmarsh.yaml"))
	require.NoError(t, err)
	doc, _, err := jdf.ReadFile(filepath.Join(demo, "demo", name), jdf.Limits{})
	require.NoError(t, err)
	j := job.Decode(doc)
	p, found := plan.Make(j, works, plan.Options{})
	require.NotNil(t, p, "%v", found)
	var all cost.Said
	for _, ticket := range emit.Tickets(p, j, emit.Options{Clock: func() time.Time { return stamped }, As: as}) {
		text, err := ticket.Doc.WriteToString()
		require.NoError(t, err)
		said, _ := cost.Read(read(t, ticket.Name, text))
		all.Add(said)
	}
	return p, &all
}

// What the tickets of a plan expect of the devices is what the plan does, but for
// money and for what is only known of the whole job.
func TestTicketsTellThePlan(t *testing.T) {
	for _, name := range []string{"tide-tables.xjdf", "playbill.jdf"} {
		for _, form := range []string{"xjdf", "jdf"} {
			as, err := emit.ParseForm(form)
			require.NoError(t, err)
			p, said := planned(t, name, as)
			order, want := cost.OfPlan(p, "plan.json", stamped)
			require.Equal(t, p.JobID, order.Job)
			require.Equal(t, decimal.NewFromInt(int64(p.Quantity)), order.Ordered)
			require.NotEmpty(t, want)
			got := cost.MergeTasks(said.Tasks)
			require.Len(t, got, len(want), "%s as %s", name, form)
			for i, w := range cost.MergeTasks(want) {
				require.True(t, w.Cost.IsPositive())
				w.Cost, w.Class, w.Process, w.Source = decimal.Decimal{}, cost.Class{}, "", cost.Source{}
				g := got[i]
				require.Equal(t, stamped, g.Stamp.UTC())
				g.Class, g.Process, g.Source, g.Stamp = cost.Class{}, "", cost.Source{}, w.Stamp
				require.Equal(t, plainTask(w), plainTask(g), "%s as %s", name, form)
			}
			classes(t, want, said.Tasks)
			require.Len(t, cost.MergeTasks(append(want, said.Tasks...)), len(want), "a plan and its tickets are one")
		}
	}
}

func plainTask(task cost.Task) []string {
	return []string{
		task.Job, task.Part, task.Device, task.CostCentre, task.Makeready.String(), task.Run.String(), task.WashUp.String(),
		task.In.String(), task.Good.String(), task.Waste.String(),
	}
}

// classes holds the class of the press tasks of tickets against that of the plan.
func classes(t *testing.T, want, got []cost.Task) {
	t.Helper()
	byPart := map[string]cost.Class{}
	for _, w := range want {
		if w.Process == string(plan.StepPrint) {
			byPart[w.Part] = w.Class
		}
	}
	seen := 0
	for _, g := range got {
		w, printed := byPart[g.Part]
		if !printed {
			continue
		}
		seen++
		require.Equal(t, w.Grammage.String(), g.Class.Grammage.String())
		require.Equal(t, w.ColoursFront, g.Class.ColoursFront)
		require.Equal(t, w.ColoursBack, g.Class.ColoursBack)
		require.InDelta(t, float64(w.Width), float64(g.Class.Width), 10, "micrometres, for points are rounded")
		require.InDelta(t, float64(w.Height), float64(g.Class.Height), 10)
	}
	require.Equal(t, len(byPart), seen)
}

func TestOrders(t *testing.T) {
	order := func(stamp, more, amount string) *jdf.Document {
		return read(t, "order.xjdf", `<XJDF xmlns="http://www.CIP4.org/JDFSchema_2_0" JobID="J1" Types="Product"
 DescriptiveName="Charts">
<AuditPool><AuditCreated><Header AgentName="office" Time="`+stamp+`"/></AuditCreated></AuditPool>
<ProductList><Product `+amount+` IsRoot="true" ProductType="Map"/></ProductList>`+more+`</XJDF>`)
	}
	set := func(name, content string) string {
		return `<ResourceSet Name="` + name + `" Usage="Input"><Resource>` + content + `</Resource></ResourceSet>`
	}
	customer := set("CustomerInfo", `<CustomerInfo CustomerID="C7"/>`) +
		set("NodeInfo", `<NodeInfo LastEnd="2026-03-09T12:00:00Z"/>`)
	var all cost.Said
	for _, doc := range []*jdf.Document{
		order("2026-03-02T08:00:00Z", customer, `Amount="1000"`),
		order("2026-03-03T08:00:00Z", "", `Amount="1200"`),
	} {
		said, _ := cost.Read(doc)
		require.Len(t, said.Orders, 1)
		all.Add(said)
	}
	for range 2 {
		merged := cost.MergeOrders(all.Orders)
		require.Len(t, merged, 1)
		o := merged[0]
		require.Equal(t, []string{"J1", "Charts", "C7", "Map", "1200", "2026-03-09"}, []string{
			o.Job, o.Name, o.Customer, o.Product, o.Ordered.String(), o.Due.Format(time.DateOnly),
		}, "the later ticket is right, and says nothing of the customer")
		all.Orders[0], all.Orders[1] = all.Orders[1], all.Orders[0]
		all.Orders = append(all.Orders, all.Orders[0])
	}
	said, _ := cost.Read(pool(t, "device.jdf", "J1"))
	require.Empty(t, said.Orders, "a ticket without product and customer is no order")
}
