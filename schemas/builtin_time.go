package schemas

// scanner reads the fields of dates, times and durations. After a field that is
// not there, bad is set and nothing more is read.
type scanner struct {
	s   string
	bad bool
}

func (c *scanner) done() bool { return !c.bad && c.s == "" }

// take reads the byte if it comes next.
func (c *scanner) take(b byte) bool {
	if c.bad || c.s == "" || c.s[0] != b {
		return false
	}
	c.s = c.s[1:]
	return true
}

func (c *scanner) want(b byte) {
	if !c.take(b) {
		c.bad = true
	}
}

// number reads digits and tells how many there were.
func (c *scanner) number() (n, digits int) {
	for !c.bad && digits < len(c.s) && isDigit(c.s[digits]) {
		if n < 1e8 {
			n = n*10 + int(c.s[digits]-'0')
		}
		digits++
	}
	if !c.bad {
		c.s = c.s[digits:]
	}
	return n, digits
}

// two reads a field of two digits within limits.
func (c *scanner) two(least, most int) int {
	n, digits := c.number()
	if digits != 2 || n < least || n > most {
		c.bad = true
	}
	return n
}

// year reads four digits or more, without needless zeros; there is no year 0.
func (c *scanner) year() int {
	c.take('-')
	zero := c.s != "" && c.s[0] == '0'
	n, digits := c.number()
	if digits < 4 || digits > 4 && zero || n == 0 {
		c.bad = true
	}
	return n
}

func (c *scanner) date() {
	year := c.year()
	c.want('-')
	month := c.two(1, 12)
	c.want('-')
	day := c.two(1, 31)
	if !c.bad && day > daysIn(year, month) {
		c.bad = true
	}
}

func daysIn(year, month int) int {
	switch month {
	case 2:
		if year%4 == 0 && (year%100 != 0 || year%400 == 0) {
			return 29
		}
		return 28
	case 4, 6, 9, 11:
		return 30
	}
	return 31
}

// time reads hh:mm:ss with an optional fraction. 24:00:00 is the end of a day.
func (c *scanner) time() {
	hour := c.two(0, 24)
	c.want(':')
	minute := c.two(0, 59)
	c.want(':')
	second := c.two(0, 59)
	zero := true
	if c.take('.') {
		n, digits := c.number()
		c.bad = c.bad || digits == 0
		zero = n == 0
	}
	if hour == 24 && (minute != 0 || second != 0 || !zero) {
		c.bad = true
	}
}

// zone reads nothing, Z, or an offset of up to fourteen hours.
func (c *scanner) zone() {
	if c.bad || c.s == "" || c.take('Z') {
		return
	}
	if !c.take('+') {
		c.want('-')
	}
	hours := c.two(0, 14)
	c.want(':')
	minutes := c.two(0, 59)
	if hours == 14 && minutes != 0 {
		c.bad = true
	}
}

func isDateTime(s string) bool {
	c := scanner{s: s}
	c.date()
	c.want('T')
	c.time()
	c.zone()
	return c.done()
}

func isDate(s string) bool {
	c := scanner{s: s}
	c.date()
	c.zone()
	return c.done()
}

func isTime(s string) bool {
	c := scanner{s: s}
	c.time()
	c.zone()
	return c.done()
}

func isYearMonth(s string) bool {
	c := scanner{s: s}
	c.year()
	c.want('-')
	c.two(1, 12)
	c.zone()
	return c.done()
}

// isDuration takes a form such as P1DT2H30M1.5S: the designators in order, each
// with a number, at least one of them, and at least one after a T.
func isDuration(s string) bool {
	c := scanner{s: s}
	c.take('-')
	c.want('P')
	date := c.designators("YMD", false)
	time := false
	if c.take('T') {
		time = c.designators("HMS", true)
		c.bad = c.bad || !time
	}
	return c.done() && (date || time)
}

// designators reads numbers, each with one of the letters, in their order. The
// last number may have a fraction when it is of seconds.
func (c *scanner) designators(letters string, fraction bool) (found bool) {
	for i := 0; i < len(letters) && !c.bad && c.s != "" && c.s[0] != 'T'; {
		_, digits := c.number()
		point := false
		if fraction && c.take('.') {
			_, after := c.number()
			digits += after
			point = true
			c.bad = after == 0
		}
		if digits == 0 || c.s == "" {
			c.bad = true
			return found
		}
		for i < len(letters) && letters[i] != c.s[0] {
			i++
		}
		if i == len(letters) || point && letters[i] != 'S' {
			c.bad = true
			return found
		}
		c.s = c.s[1:]
		found = true
		i++
	}
	return found
}
