package label

// figure is a number as it can be read: with its separator as a decimal sign,
// or as one between thousands, or in one of the two ways alone.
type figure struct {
	decimal, thousands     float64
	isDecimal, isThousands bool
	places                 bool // it has a decimal part
}

// read reads digits with points, commas and apostrophes among them. Where a
// single point or comma stands before exactly three digits it may be either
// sign, and both are given.
func readFigure(f []byte) figure {
	const longest = 15 // digits: what a double tells apart
	var groups, last, first int
	var sign, decimalSign byte
	digits := 0
	for i, b := range f {
		if isDigit(b) {
			digits++
			last++
			continue
		}
		if groups == 0 {
			first = i
		} else if last != 3 {
			return figure{} // a group in the middle is not of three
		}
		switch {
		case groups == 0:
			sign = b
		case b != sign && decimalSign == 0:
			decimalSign = b
		case b != sign || decimalSign != 0:
			return figure{} // a third sign, or one behind the decimal sign
		}
		groups++
		last = 0
	}
	if digits > longest {
		return figure{}
	}
	grouped := first >= 1 && first <= 3 && f[0] != '0'
	switch {
	case groups == 0:
		return whole(f)
	case decimalSign != 0:
		if !grouped || decimalSign == '\'' || last > 3 {
			return figure{}
		}
		return figure{decimal: value(f, decimalSign), isDecimal: true, places: true}
	case groups > 1 || sign == '\'':
		if !grouped || last != 3 {
			return figure{}
		}
		return figure{thousands: value(f, 0), isThousands: true}
	case last > 3 && (sign != '.' || first > 3): // rather a list: 2200,5000
		return figure{}
	case last == 3 && grouped:
		return figure{decimal: value(f, sign), thousands: value(f, 0), isDecimal: true, isThousands: true, places: true}
	}
	return figure{decimal: value(f, sign), isDecimal: true, places: true}
}

func whole(f []byte) figure { return figure{decimal: value(f, 0), isDecimal: true} }

// value is the number with one sign as the decimal point and without the
// others. It has at most 15 digits, so both whole numbers that are divided are
// exact, and the quotient is the double nearest to the decimal.
func value(f []byte, decimalSign byte) float64 {
	var digits, scale int64 = 0, 1
	behind := false
	for _, b := range f {
		switch {
		case !isDigit(b):
			behind = behind || b == decimalSign
			continue
		case behind:
			scale *= 10
		}
		digits = digits*10 + int64(b-'0')
	}
	return float64(digits) / float64(scale)
}
