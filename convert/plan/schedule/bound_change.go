package schedule

// changeoverOn is a bound of what a machine spends on washing up and making
// ready: each task comes after another or first, and each is followed by
// another or last, at the least cost.
func (b *bounds) changeoverOn(m int) int64 {
	tasks := b.machines[m].tasks
	total := int64(0)
	if b.machines[m].changer == nil || len(tasks) > mostMatched {
		for _, x := range tasks {
			total += b.least[x]
		}
		return total
	}
	if len(tasks) == 0 {
		return 0
	}
	const never = int64(1) << 40
	n := len(tasks)
	cost := make([][]int64, n+1)
	for i := range cost {
		cost[i] = make([]int64, n+1)
		for k := range cost[i] {
			switch {
			case i == k:
				cost[i][k] = never
			case i == n:
				_, cost[i][k] = b.change(-1, tasks[k])
			case k == n:
				cost[i][k] = b.finalWash(tasks[i])
			default:
				wash, makeready := b.change(tasks[i], tasks[k])
				cost[i][k] = wash + makeready
			}
		}
	}
	return match(cost)
}

// stockChangesOn is a bound of how often a machine changes stock: each is taken
// up once at least, and the first is not counted.
func (b *bounds) stockChangesOn(m int) int64 {
	stocks := map[string]bool{}
	for _, x := range b.machines[m].tasks {
		stocks[b.tasks[x].stock] = true
	}
	return max(0, int64(len(stocks))-1)
}
