package label

// roleWord is a word with a role, and what stands between it and the numbers
// on either side.
type roleWord struct {
	token       int
	role        role
	left, right int
	line        bool // it begins a line
	slashed     bool // a slash parts it from the role word before
}

// far is what it costs to reach a number behind something that parts them.
const far = 100

// lineCost is what a line break costs: more than a colon brings nearer.
const lineCost = 3

// roleWords lists the role words between anchor k and the next, with what it
// costs each to reach either.
func (p *page) roleWords(k int, out []roleWord) []roleWord {
	from, to := 0, len(p.tokens)
	if k >= 0 {
		from = p.anchors[k].last + 1
	}
	if k+1 < len(p.anchors) {
		to = p.anchors[k+1].first
	}
	w := walk{p: p, opens: '(', cost: 0}
	if k < 0 {
		w.cost = far
	}
	slashed := false
	for i := from; i < to; i++ {
		if p.tokens[i].line {
			w.add(lineCost)
		}
		if r := p.roleAt(i); r != 0 {
			out = append(out, roleWord{token: i, role: r, left: w.cost, right: far, slashed: slashed, line: p.tokens[i].line})
			slashed = false
			continue
		}
		if p.slash(i) {
			slashed = true
			continue
		}
		if p.signAt(i, ':', '=') {
			w.add(2)
			continue
		}
		w.pass(i)
	}
	if k+1 == len(p.anchors) {
		return out
	}
	w = walk{p: p, opens: ')', cost: 0}
	if p.tokens[to].line {
		w.add(lineCost)
	}
	n := len(out) - 1
	for i := to - 1; i >= from && n >= 0; i-- {
		switch {
		case out[n].token == i:
			out[n].right = w.cost
			n--
		case p.slash(i):
		case p.signAt(i, ':', '='):
			w.add(-2)
		default:
			w.pass(i)
		}
		if p.tokens[i].line {
			w.add(lineCost)
		}
	}
	return out
}

func (p *page) roleAt(i int) role {
	if t := &p.tokens[i]; t.kind == aWord && !t.taken && !t.quiet {
		return t.means.role
	}
	return 0
}

// slash reports whether a sign or an "and" joins two roles: charge/discharge.
func (p *page) slash(i int) bool {
	if !p.signAt(i, '/', '&', '+') && !p.is(i, "and") || i == 0 || i+1 == len(p.tokens) {
		return false
	}
	return p.roleAt(i-1)&^most != 0 && p.roleAt(i+1)&^most != 0
}

// walk adds up what it costs to go from a number to the words beside it.
type walk struct {
	p      *page
	opens  byte // the bracket that opens in the direction of the walk
	inside bool
	cost   int
}

func (w *walk) add(d int) {
	if w.cost < far {
		w.cost = min(w.cost+d, far)
	}
}

func (w *walk) pass(i int) {
	t := &w.p.tokens[i]
	if t.quiet {
		return
	}
	if t.kind == aWord {
		if !t.means.filler || t.taken {
			w.cost = far
		}
		return
	}
	if t.kind == aNumber {
		w.cost = far
		return
	}
	sign := t.sign
	switch sign {
	case '[', '{':
		sign = '('
	case ']', '}':
		sign = ')'
	}
	switch sign {
	case '(', ')':
		switch {
		case sign == w.opens:
			w.inside = true
		case w.inside:
			w.cost = far
		default:
			w.add(1)
		}
	case '-':
		if t.space && i+1 < len(w.p.tokens) && w.p.tokens[i+1].space {
			w.add(1)
		}
	case '.', '@', '~', '<', '>', '*', '"', '\'', '_', '!', otherByte:
	default:
		w.cost = far
	}
}

// gather joins the role words from i on that belong together, and returns where
// the next begin.
func gather(b bundle, words []roleWord, i int) (bundle, int) {
	first := words[i]
	b.role, b.left, b.right, b.last = first.role, first.left, first.right, first.token
	for i++; i < len(words); i++ {
		w := words[i]
		if (w.left < far) != (b.left < far) || (w.right < far) != (b.right < far) {
			break
		}
		switch {
		case w.slashed && b.second == 0:
			b.second = w.role
		case w.slashed || w.line || !compatible(b.all(), w.role) && b.second == 0:
			return b, i
		case b.second != 0:
			if !compatible(b.second, w.role) {
				return b, i
			}
			b.second |= w.role
		default:
			b.role |= w.role
		}
		b.left, b.right, b.last = min(b.left, w.left), min(b.right, w.right), w.token
	}
	return b, i
}
