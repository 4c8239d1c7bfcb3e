package spec

import (
	"math"
	"strconv"
)

// Plain writes a number as a person writes it in a form: no exponent, no
// trailing zeros, at most nine significant digits.
func Plain(x float64) string {
	var buf [32]byte // on the stack
	return string(AppendPlain(buf[:0], x))
}

// AppendPlain appends what Plain writes to dst.
func AppendPlain(dst []byte, x float64) []byte {
	x = Round9(x)
	if short, ok := appendDecimal(dst, x); ok {
		return short
	}
	return strconv.AppendFloat(dst, x, 'f', -1, 64)
}

// appendDecimal appends the shortest decimal of x where it has at most four
// places, as nearly every number that a person gives has. A decimal of 15
// digits or fewer that reads back as x is the only such one, so it is also what
// strconv would find, at five times the cost.
func appendDecimal(dst []byte, x float64) (out []byte, ok bool) {
	const places, scale = 4, 1e4
	a := math.Abs(x)
	k := math.Round(a * scale)
	if k >= 1e15 || k/scale != a {
		return dst, false
	}
	if x < 0 {
		dst = append(dst, '-')
	}
	whole, part := uint64(k)/scale, uint64(k)%scale
	dst = strconv.AppendUint(dst, whole, 10)
	if part == 0 {
		return dst, true
	}
	dst = append(dst, '.')
	for digit := uint64(scale / 10); part > 0; digit /= 10 {
		dst = append(dst, byte('0'+part/digit))
		part %= digit
	}
	return dst, true
}

// Round9 rounds to 9 significant digits, half away from zero. Answers are
// rounded with it once, where they are assembled.
func Round9(x float64) float64 {
	if x == 0 || math.IsNaN(x) || math.IsInf(x, 0) {
		return x
	}
	e := 8 - decade(math.Abs(x))
	// Powers of ten are exact in a double up to 1e22, so multiplying and
	// dividing by one gives the double nearest to the decimal.
	switch {
	case e > 22:
		return 0 // below 1e-14: nothing in an answer is that small but noise
	case e >= 0:
		p := math.Pow10(e)
		return math.Round(x*p) / p
	case e >= -22:
		p := math.Pow10(-e)
		return math.Round(x/p) * p
	}
	return x
}

// decade is the power of ten at or below x, above 0: floor(log10(x)). The
// binary exponent times log10(2) is at most one too low.
func decade(x float64) int {
	exponent := int(math.Float64bits(x)>>52&0x7ff) - 1023 // of a normal double: floor(log2(x))
	d := exponent * 1233 >> 12                            // log10(2) ≈ 1233/4096
	if x >= math.Pow10(d+1) {
		d++
	}
	return d
}

// Short writes a computed number as a person reads it: three or so significant
// digits, no exponent, no trailing zeros.
func Short(x float64) string {
	var buf [32]byte
	return string(AppendShort(buf[:0], x))
}

// AppendShort appends what Short writes to dst.
func AppendShort(dst []byte, x float64) []byte {
	return strconv.AppendFloat(dst, RoundShort(x), 'f', -1, 64)
}

// RoundShort is the number that Short writes.
func RoundShort(x float64) float64 {
	digits := 0
	switch a := math.Abs(x); {
	case a < 0.095:
		digits = 3
	case a < 9.95:
		digits = 2
	case a < 99.5:
		digits = 1
	}
	p := math.Pow10(digits)
	return math.Round(x*p) / p
}

// Short3 writes a number with up to three decimals: a cell voltage as a meter
// shows it.
func Short3(x float64) string {
	var buf [32]byte
	return string(AppendShort3(buf[:0], x))
}

// AppendShort3 appends what Short3 writes to dst.
func AppendShort3(dst []byte, x float64) []byte {
	return strconv.AppendFloat(dst, math.Round(x*1000)/1000, 'f', -1, 64)
}

// Beside writes a computed number so that it can be told from a limit it
// stands beside: with as few digits as Short, or as many more as it takes.
func Beside(x, limit float64) string {
	text := Short(x)
	for digits := 3; digits <= 9 && x != limit; digits++ {
		if shown, err := strconv.ParseFloat(text, 64); err != nil || shown != limit {
			break
		}
		text = strconv.FormatFloat(x, 'f', digits, 64)
	}
	return text
}
