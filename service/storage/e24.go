package storage

import (
	"math"

	"github.com/wattkeel/wattkeel/service/spec"
)

// e24 is the series E24 of IEC 60063: preferred values of a decade, 5 % apart.
func e24() [24]float64 {
	return [24]float64{1.0, 1.1, 1.2, 1.3, 1.5, 1.6, 1.8, 2.0, 2.2, 2.4, 2.7, 3.0, 3.3, 3.6, 3.9, 4.3, 4.7, 5.1, 5.6, 6.2, 6.8, 7.5, 8.2, 9.1}
}

// e24AtLeast is the least value of the series E24 that is not below x, above 0. A
// larger resistance is on the safe side.
func e24AtLeast(x float64) float64 {
	exponent := math.Floor(math.Log10(x)) - 1 // one decade lower: rounding of the logarithm must not skip a value
	for ; ; exponent++ {
		decade := math.Pow(10, exponent)
		if 10*decade < x {
			continue
		}
		for _, v := range e24() {
			if r := spec.Round9(v * decade); r >= x*(1-1e-9) {
				return r
			}
		}
	}
}

// wattages are the power ratings in which resistors are commonly sold.
func wattages() []float64 {
	return []float64{0.25, 0.5, 1, 2, 3, 5, 10, 25, 50, 100, 200, 300, 500, 1000}
}

// soldWattage is the least common rating that is not below watts.
func soldWattage(watts float64) float64 {
	list := wattages()
	for _, w := range list {
		if w >= watts*(1-1e-9) {
			return w
		}
	}
	return math.Ceil(watts/list[len(list)-1]) * list[len(list)-1]
}

// decadeOf is the power of ten at or below x.
func decadeOf(x float64) float64 { return math.Pow(10, math.Floor(math.Log(x)/math.Log(10)+1e-9)) }
