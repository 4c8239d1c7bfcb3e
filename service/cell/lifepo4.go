package cell

import "github.com/wattkeel/wattkeel/service/spec"

// lifepo4 is lithium iron phosphate: its curve is so flat in the middle that a
// rested voltage says little about its charge, and its rested full voltage
// lies below the voltage it is charged to.
func lifepo4() *Chemistry {
	const endV = 3.65
	return &Chemistry{
		Name:        spec.LiFePO4,
		NominalV:    Param{3.2, practice("labels print 3.2 V a cell")},
		NominalAltV: []Param{{3.3, practice("some labels print 3.3 V a cell")}},
		FullV:       Param{endV, practice("lithium iron phosphate is charged to 3.65 V a cell")},
		StorageV:    Param{3.265, prada("half charge on the open-circuit table")},
		SafeStartV:  Param{2.50, practice("a cell resting below 2.5 V is raised gently first")},
		FloorV:      Param{2.00, prada("2.0 to 3.6 V")},
		LoadedFloor: Param{2.50, practice("lithium iron phosphate is not run below 2.5 V under load")},
		Zones:       lithiumZones(),
		Curve:       NewCurve(extend(ironPhosphateCylinder(), endV, 0.995, 1)),
		CurveNote:   "the published table ends at 3.60 V at rest; it is continued at its last slope to the 3.65 V that the cell is charged to, 0.2 % of its charge, so that the charge ends by its taper; a full cell settles well below that within hours",
		CurveFrom:   Param{curveAccuracy(), prada("computed by electrode balance, about 20 mV in the middle, worse below 10 %; the steep ends follow from the voltage limits")},
		Typical:     Param{0.016, recalled(spec.Handbook, "2.5 Ah cells: 6 to 8 milliohms on a 1 kHz meter")},
		PolarFactor: polarization(),
		PolarTime:   polarTime(),
		RecoveryC:   recoveryRate(),
		DefaultC:    Param{1, practice("1 C where the label prints no charge rate")},
		MostSoldC:   Param{10, practice("no lithium iron phosphate pack is sold for charging above 10 C")},
		ToleranceV:  balanceTolerance(),
		LifeDays:    Param{10 * 365, practice("about ten years")},
		EnergyJKg:   Param{105 * wattHour, recalled(spec.Handbook, "lithium iron phosphate packs, 90 to 130 Wh/kg")},
	}
}

func prada(clause string) spec.Source {
	return spec.Source{
		Kind: spec.Paper, Title: "E. Prada et al., J. Electrochem. Soc. 160, A616; LiFePO4 potential after S. Afshar, K. Morris, A. Khajepour, arXiv:1709.03970",
		Clause: clause, Year: 2013, Standing: spec.Read,
	}
}

// ironPhosphateCylinder is the open-circuit table of a graphite/LiFePO4 cylindrical cell, 2.0 to
// 3.6 V at 25 °C: charge as a fraction of full, volts.
func ironPhosphateCylinder() []Sample {
	return []Sample{
		{0, 2}, {0.005, 2.143}, {0.01, 2.2655}, {0.02, 2.46}, {0.03, 2.6028}, {0.04, 2.7077},
		{0.05, 2.7853}, {0.06, 2.8432}, {0.07, 2.8874}, {0.08, 2.9223}, {0.09, 2.9515}, {0.1, 2.9781},
		{0.11, 3.0041}, {0.12, 3.0308}, {0.13, 3.058}, {0.14, 3.0843}, {0.15, 3.108}, {0.16, 3.1277},
		{0.17, 3.143}, {0.18, 3.1544}, {0.19, 3.1625}, {0.2, 3.1685}, {0.21, 3.173}, {0.22, 3.1765},
		{0.23, 3.1797}, {0.24, 3.1827}, {0.25, 3.1857}, {0.26, 3.189}, {0.27, 3.1926}, {0.28, 3.1966},
		{0.29, 3.201}, {0.3, 3.2058}, {0.31, 3.2109}, {0.32, 3.2163}, {0.33, 3.2218}, {0.34, 3.2271},
		{0.35, 3.2324}, {0.36, 3.2373}, {0.37, 3.2418}, {0.38, 3.2458}, {0.39, 3.2494}, {0.4, 3.2525},
		{0.41, 3.2551}, {0.42, 3.2574}, {0.43, 3.2593}, {0.44, 3.2608}, {0.45, 3.2621}, {0.46, 3.2632},
		{0.47, 3.2641}, {0.48, 3.2649}, {0.49, 3.2655}, {0.5, 3.266}, {0.51, 3.2665}, {0.52, 3.2669},
		{0.53, 3.2672}, {0.54, 3.2675}, {0.55, 3.2678}, {0.56, 3.268}, {0.57, 3.2682}, {0.58, 3.2684},
		{0.59, 3.2686}, {0.6, 3.2688}, {0.61, 3.269}, {0.62, 3.2692}, {0.63, 3.2694}, {0.64, 3.2697},
		{0.65, 3.27}, {0.66, 3.2703}, {0.67, 3.2708}, {0.68, 3.2715}, {0.69, 3.2725}, {0.7, 3.274},
		{0.71, 3.2761}, {0.72, 3.2791}, {0.73, 3.2829}, {0.74, 3.2875}, {0.75, 3.2926}, {0.76, 3.2975},
		{0.77, 3.3018}, {0.78, 3.3053}, {0.79, 3.3079}, {0.8, 3.3097}, {0.81, 3.311}, {0.82, 3.3118},
		{0.83, 3.3124}, {0.84, 3.3129}, {0.85, 3.3132}, {0.86, 3.3134}, {0.87, 3.3136}, {0.88, 3.3138},
		{0.89, 3.314}, {0.9, 3.3142}, {0.91, 3.3143}, {0.92, 3.3145}, {0.93, 3.3148}, {0.94, 3.3153},
		{0.95, 3.3164}, {0.96, 3.3193}, {0.97, 3.3274}, {0.98, 3.3502}, {0.99, 3.415}, {0.995, 3.4838},
		{1, 3.6},
	}
}
