package schedule

import "math"

// match is the least cost of giving each row of a square table a column of its
// own. It takes the number of rows to the third power.
//
// Source: H. W. Kuhn, "The Hungarian method for the assignment problem", Naval
// Research Logistics Quarterly 2 (1955); by shortest paths with potentials.
func match(cost [][]int64) int64 {
	n := len(cost)
	// Row and column 0 are a beginning that is not in the table.
	rows, columns := make([]int64, n+1), make([]int64, n+1)
	taken := make([]int, n+1) // row of each column
	way := make([]int, n+1)
	for row := 1; row <= n; row++ {
		taken[0] = row
		column := 0
		least := make([]int64, n+1)
		seen := make([]bool, n+1)
		for k := range least {
			least[k] = math.MaxInt64
		}
		for taken[column] != 0 {
			seen[column] = true
			i, next, step := taken[column], 0, int64(math.MaxInt64)
			for k := 1; k <= n; k++ {
				if seen[k] {
					continue
				}
				if c := cost[i-1][k-1] - rows[i] - columns[k]; c < least[k] {
					least[k], way[k] = c, column
				}
				if least[k] < step {
					step, next = least[k], k
				}
			}
			for k := range least {
				if seen[k] {
					rows[taken[k]] += step
					columns[k] -= step
				} else if k > 0 {
					least[k] -= step
				}
			}
			column = next
		}
		for column != 0 {
			taken[column] = taken[way[column]]
			column = way[column]
		}
	}
	total := int64(0)
	for k := 1; k <= n; k++ {
		total += cost[taken[k]-1][k-1]
	}
	return total
}
