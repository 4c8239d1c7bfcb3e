package label

// anchor is a quantity, or a pair such as 30C/60C, to which words may give a
// role.
type anchor struct {
	first, last int // tokens
	a, b        int // quantities; b is -1 where it is no pair
	bears       role
	role        role
	roles       [2]role // of a pair, where the words are a pair as well
	slashed     bool
	unclear     bool
	open        bool // words for charging beside it may belong to another number
}

// bundle is a run of role words that belong together, or two of them with a
// slash between.
type bundle struct {
	role, second role
	left, right  int // what it costs to reach the neighbors; far where it cannot
	k            int // the anchor on its left
	last         int // the token of its last word
}

func (b *bundle) all() role { return b.role | b.second }

// assignRoles gives every rate, current and voltage the role that the words
// beside it say.
func (p *page) assignRoles() {
	p.anchor()
	for k := -1; k < len(p.anchors); k++ {
		p.words = p.roleWords(k, p.words[:0])
		p.gatherBetween(k)
		p.both = p.both[:0] // could belong to either side
		for i := range p.between {
			b := &p.between[i]
			if p.reaches(k, b, b.left) && p.reaches(k+1, b, b.right) {
				p.both = append(p.both, *b)
			} else {
				p.attach(b)
			}
		}
		if len(p.both) > 1 { // 30C cont. burst 60C
			p.give(k, &p.both[0])
			p.give(k+1, &p.both[len(p.both)-1])
			continue
		}
		for i := range p.both {
			if !p.attach(&p.both[i]) {
				p.wait = append(p.wait, p.both[i])
			}
		}
	}
	p.settle(p.wait)
}

// gatherBetween gathers the role words behind anchor k.
func (p *page) gatherBetween(k int) {
	p.between = p.between[:0]
	for i := 0; i < len(p.words); {
		b := bundle{k: k}
		b, i = gather(b, p.words, i)
		p.between = append(p.between, b)
	}
}

// settle attaches the words that could belong to the number on either side:
// to the one that has no role yet, where the other has one; else by what the
// words mean.
func (p *page) settle(open []bundle) {
	told := p.told // before anything is settled
	for range open {
		p.done = append(p.done, false)
	}
	done := p.done
	try := func(i int) {
		b := &open[i]
		left, right := p.anchors[b.k].role&^usual, p.anchors[b.k+1].role&^usual
		switch {
		case done[i] || (left != 0) == (right != 0):
			return
		case left != 0:
			p.give(b.k+1, b)
		default:
			p.give(b.k, b)
		}
		done[i] = true
	}
	for i := range open {
		try(i)
	}
	for i := len(open) - 1; i >= 0; i-- {
		try(i)
	}
	for i := range open {
		try(i)
		if done[i] {
			continue
		}
		b := &open[i]
		l, r := &p.anchors[b.k], &p.anchors[b.k+1]
		rising := p.quantities[l.a].value <= p.quantities[r.a].value
		// A burst is the larger of two rates, a full voltage that of two voltages.
		large := b.all()&(burst|full|most) != 0 || b.all()&charge != 0 && l.bears&discharge == 0
		volts := p.is(b.last+1, "voltage")
		switch {
		case volts && l.bears&discharge == 0 && r.bears&discharge != 0: // 12.6V charge voltage 30C
			p.give(b.k, b)
		case volts && l.bears&discharge != 0 && r.bears&discharge == 0:
			p.give(b.k+1, b)
		case l.bears&discharge != 0 && r.bears&discharge == 0: // a rate rather than a voltage
			p.settleVolts(b, b.k, b.k+1, told)
		case l.bears&discharge == 0 && r.bears&discharge != 0:
			p.settleVolts(b, b.k+1, b.k, told)
		case l.role != 0 && compatible(l.role, b.all()) && !compatible(r.role, b.all()):
			p.give(b.k, b)
		case r.role != 0 && compatible(r.role, b.all()) && !compatible(l.role, b.all()):
			p.give(b.k+1, b)
		case b.second != 0 && (l.b >= 0) != (r.b >= 0): // two words for two numbers
			if l.b >= 0 {
				p.give(b.k, b)
			} else {
				p.give(b.k+1, b)
			}
		case b.all()&charge != 0 && b.second == 0 && l.bears&discharge != 0:
			p.settleCharge(b, told)
		case large != rising:
			p.give(b.k, b)
		default:
			p.give(b.k+1, b)
		}
	}
}

// anchor lists the quantities in order, pairs as one.
func (p *page) anchor() {
	for i := 0; i < len(p.quantities); i++ {
		q := &p.quantities[i]
		if q.seconds { // a burst of 10s: it parts nothing
			continue
		}
		a := anchor{first: q.first, last: q.last, a: i, b: -1}
		switch {
		case q.other:
		case q.field == dischargeField:
			a.bears = charge | discharge | continuous | burst | usual
			if i+1 < len(p.quantities) && p.pair(q, &p.quantities[i+1]) {
				a.b, a.last = i+1, p.quantities[i+1].last
				i++
				for i+1 < len(p.quantities) && p.pair(&p.quantities[i], &p.quantities[i+1]) { // 5C/30C/60C
					i++
					a.b, a.last, a.unclear = i, p.quantities[i].last, true
				}
			}
		case q.field == voltageField:
			a.bears = charge | full | cutoff | most
		}
		p.anchors = append(p.anchors, a)
	}
}

// pair reports whether two rates stand in one range, or next to each other with
// nothing but a slash or a hyphen between.
func (p *page) pair(q, next *quantity) bool {
	if next.other || next.field != dischargeField || q.amps != next.amps {
		return false
	}
	return q.first == next.first || next.first == q.last+2 && p.signAt(q.last+1, '/', '-', '~')
}

// attach gives a bundle to the one number it can belong to. It reports false
// where there are two.
func (p *page) attach(b *bundle) bool {
	if b.all() == most && (p.rateAt(b.k, b.left) || p.rateAt(b.k+1, b.right)) {
		return true // 30C max: the word says nothing of the voltage beyond
	}
	left, right := p.reaches(b.k, b, b.left), p.reaches(b.k+1, b, b.right)
	switch {
	case left && right && b.left == b.right:
		return false
	case left && (!right || b.left < b.right):
		p.give(b.k, b)
	case right:
		p.give(b.k+1, b)
	}
	return true
}

// reaches reports whether anchor k is near enough for a bundle, and can bear it.
func (p *page) reaches(k int, b *bundle, cost int) bool {
	return k >= 0 && k < len(p.anchors) && cost < far && p.anchors[k].bears&b.all() != 0
}

func (p *page) rateAt(k, cost int) bool {
	return k >= 0 && k < len(p.anchors) && cost < far && p.anchors[k].bears&discharge != 0
}

func (p *page) give(k int, b *bundle) {
	a := &p.anchors[k]
	if a.open {
		return
	}
	if a.bears&discharge != 0 && b.all()&^(usual|most) != 0 {
		p.told.count(b, k)
	}
	a.role |= b.all()
	if b.second == 0 {
		return
	}
	a.slashed, a.roles = true, [2]role{b.role, b.second}
	if a.b < 0 {
		a.unclear = true // charge/discharge 5C
	}
}

// compatible reports whether two roles can be those of one number.
func compatible(a, b role) bool {
	both := a | b
	const draining = discharge | continuous | burst
	return !(both&charge != 0 && both&draining != 0) && !(both&continuous != 0 && both&burst != 0)
}
