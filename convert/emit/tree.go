package emit

import (
	"github.com/beevik/etree"

	"quoin/convert/plan"
	"quoin/jdf"
)

// versionJDF is the version of JDF 1.x in which trees are written. It is the
// first that has all that is written here, so that older readers take it too.
const versionJDF = "1.6"

// tree writes a plan as one JDF. What one node makes and another takes stands
// in the pool of the root, which encloses both; parameters stand in the pool of
// the one node that they are for.
type tree struct {
	*writer
	pool   *etree.Element            // of the root
	shared map[string]*etree.Element // resources of that pool, by kind and key
	count  map[string]int            // of shared resources, by kind

	part       string // JobPartID of the node in hand
	own, links *etree.Element
}

// tree writes all operations of the plan into one document. The root is a group
// of processes: the order with its intents stays with the ticket that it came
// from, and can not be told again without loss from what a plan keeps of it.
func (w *writer) tree() *etree.Document {
	doc := etree.NewDocument()
	doc.CreateProcInst("xml", `version="1.0" encoding="UTF-8"`)
	root := doc.CreateElement("JDF")
	set(root, "xmlns", jdf.NamespaceJDF, "xmlns:xsi", "http://www.w3.org/2001/XMLSchema-instance",
		"ID", "job", "Type", "ProcessGroup", "xsi:type", "ProcessGroup", "Status", "Waiting", "Version", versionJDF,
		"MaxVersion", versionJDF, "JobID", short(w.plan.JobID), "DescriptiveName", w.plan.Name)
	set(root.CreateElement("AuditPool").CreateElement("Created"), "AgentName", agent, "AgentVersion", w.version,
		"ID", "created", "TimeStamp", w.at)
	t := &tree{
		writer: w, pool: root.CreateElement("ResourcePool"), shared: map[string]*etree.Element{}, count: map[string]int{},
	}
	t.links = root.CreateElement("ResourceLinkPool")
	t.whole()
	for i := range w.plan.Operations {
		t.operation(root, i)
	}
	doc.Indent(2)
	return doc
}

// whole writes what is said of the whole job: when, and how its pieces stand
// on the sheets.
func (t *tree) whole() {
	info := resource(t.pool, "NodeInfo", "NodeInfo-job", "Parameter")
	set(info, "LastEnd", t.due(), "NodeStatus", "Waiting")
	var all Span
	for i := range t.plan.Operations {
		span, ok := t.times[i]
		if !ok {
			continue
		}
		if all.Start.IsZero() || span.Start.Before(all.Start) {
			all.Start = span.Start
		}
		if span.End.After(all.End) {
			all.End = span.End
		}
	}
	if !all.End.IsZero() {
		set(info, "Start", moment(all.Start), "End", moment(all.End))
	}
	t.link("Input", info)
	t.stripping()
}

// operation writes a node.
func (t *tree) operation(root *etree.Element, i int) {
	o := t.plan.Operations[i]
	t.part = t.partID(i)
	process, list := t.processes(o), ""
	if steps(process) > 1 {
		process, list = "Combined", process
	}
	node := set(root.CreateElement("JDF"), "ID", "node-"+t.part, "Type", process, "xsi:type", process, "Types", list,
		"Status", "Waiting", "JobPartID", t.part, "DescriptiveName", t.plan.Name)
	t.own, t.links = node.CreateElement("ResourcePool"), node.CreateElement("ResourceLinkPool")
	info := t.params("NodeInfo", "")
	t.schedule(info, "NodeStatus", i)
	if o.Device != "" {
		t.device(o)
	}
	particular(t, o)
}

func steps(processes string) int {
	n := 1
	for _, c := range processes {
		if c == ' ' {
			n++
		}
	}
	return n
}

func (t *tree) device(o *plan.Operation) {
	d, isNew := t.share("Device", o.Device, "Implementation", "Available")
	if isNew {
		set(d, "DescriptiveName", o.DeviceName, "DeviceID", o.Device)
		if o.CostCentre != "" {
			set(d.CreateElement("CostCenter"), "CostCenterID", o.CostCentre)
		}
	}
	t.link("Input", d)
}

// resource opens a resource of a pool.
func resource(pool *etree.Element, kind, id, class string) *etree.Element {
	return set(pool.CreateElement(kind), "Class", class, "ID", id, "Status", "Available")
}

// params opens a resource of the node in hand and links it, for the step of the
// node that is told by its index, or for all when that is "".
func (t *tree) params(kind, step string) *etree.Element {
	r := resource(t.own, kind, kind+"-"+t.part, "Parameter")
	t.link("Input", r, "CombinedProcessIndex", step)
	return r
}

// share finds a resource of the root's pool, or opens it and says so.
func (t *tree) share(kind, key, class, status string) (r *etree.Element, isNew bool) {
	if r := t.shared[kind+" "+key]; r != nil {
		return r, false
	}
	t.count[kind]++
	r = set(t.pool.CreateElement(kind), "Class", class, "ID", kind+"-"+whole(t.count[kind]), "Status", status)
	t.shared[kind+" "+key] = r
	return r, true
}

// link lets the node in hand take or make a resource.
func (t *tree) link(usage string, r *etree.Element, attrs ...string) *etree.Element {
	l := set(t.links.CreateElement(r.Tag+"Link"), "Usage", usage, "rRef", r.SelectAttrValue("ID", ""))
	return set(l, attrs...)
}

// ofSheet narrows a link to the partition of a sheet.
func ofSheet(link *etree.Element, s *plan.Sheet) *etree.Element {
	set(link.CreateElement("Part"), "SheetName", s.Name)
	return link
}

// refer names a resource within another.
func refer(in, to *etree.Element) {
	set(in.CreateElement(to.Tag+"Ref"), "rRef", to.SelectAttrValue("ID", ""))
}

// counts writes on a link how many good pieces are meant, and how much waste
// comes with them.
func counts(link *etree.Element, x thing, good, waste int) {
	pool := link.CreateElement("AmountPool")
	for _, c := range []struct {
		condition string
		amount    int
	}{{"Good", good}, {"Waste", waste}} {
		if c.amount == 0 && c.condition == "Waste" {
			continue
		}
		part := set(pool.CreateElement("PartAmount"), "Amount", whole(c.amount)).CreateElement("Part")
		set(part, "BinderySignatureName", x.piece, "Condition", c.condition)
		if x.sheet != nil {
			set(part, "SheetName", x.sheet.Name)
		}
	}
	if x.sheet != nil {
		set(link.CreateElement("Part"), "BinderySignatureName", x.piece, "SheetName", x.sheet.Name)
	}
}

// short cuts a text to the 63 characters that JDF 1.x gives a JobID.
func short(s string) string {
	const most = 63
	if r := []rune(s); len(r) > most {
		return string(r[:most])
	}
	return s
}
