package cell

import "github.com/wattkeel/wattkeel/service/spec"

// lipo is lithium polymer: a cobalt-oxide pouch cell built for high rates.
func lipo() *Chemistry {
	return &Chemistry{
		Name:        spec.LiPo,
		NominalV:    Param{3.7, practice("labels print 3.7 V a cell")},
		FullV:       Param{4.20, maleki("conventional cells 3.0 to 4.2 V")},
		StorageV:    Param{3.80, practice("storage charge is 3.8 V a cell at rest")},
		SafeStartV:  Param{3.00, maleki("3.0 V as the lower limit")},
		FloorV:      Param{2.50, practice("a lithium cell resting below 2.5 V is not charged again")},
		LoadedFloor: Param{3.00, maleki("3.0 V as the lower limit")},
		Zones:       lithiumZones(),
		Curve:       NewCurve(cobaltOxidePouch()),
		CurveFrom:   Param{curveAccuracy(), aiPouch()},
		Typical:     Param{0.015, practice("packs sold for 25 to 35 C: 11 to 20 milliohm ampere hours a cell on a 1 kHz meter")},
		PolarFactor: polarization(),
		PolarTime:   polarTime(),
		RecoveryC:   recoveryRate(),
		DefaultC:    Param{1, practice("1 C where the label prints no charge rate")},
		MostSoldC:   Param{15, practice("no lithium polymer pack is sold for charging above 15 C")},
		ToleranceV:  balanceTolerance(),
		LifeDays:    Param{4 * 365, practice("about four years, however little it is used")},
		EnergyJKg:   Param{150 * wattHour, recalled(spec.Handbook, "high-rate polymer packs, 120 to 180 Wh/kg")},
	}
}

func maleki(clause string) spec.Source {
	return spec.Source{
		Kind: spec.Paper, Title: "H. Maleki, H. Wang, W. Porter, J. Hallmark, J. Power Sources 263, 223-230",
		Clause: clause, Year: 2014, Standing: spec.Read,
	}
}

func aiPouch() spec.Source {
	return spec.Source{
		Kind: spec.Paper, Title: "W. Ai, L. Kraft, J. Sturm, A. Jossen, B. Wu, J. Electrochem. Soc. 167, 013512",
		Clause: "computed by electrode balance from its half-cell potentials, about 20 mV in the middle, worse below 10 %", Year: 2020, Standing: spec.Read,
	}
}

// cobaltOxidePouch is the open-circuit table of a graphite/LiCoO2 pouch cell, 3.0 to 4.2 V at
// 25 °C: charge as a fraction of full, volts.
func cobaltOxidePouch() []Sample {
	return []Sample{
		{0, 3}, {0.005, 3.1332}, {0.01, 3.2193}, {0.02, 3.3388}, {0.03, 3.4239}, {0.04, 3.4896},
		{0.05, 3.5401}, {0.06, 3.5816}, {0.07, 3.6091}, {0.08, 3.6249}, {0.09, 3.6337}, {0.1, 3.6396},
		{0.11, 3.644}, {0.12, 3.648}, {0.13, 3.6521}, {0.14, 3.6572}, {0.15, 3.6653}, {0.16, 3.6732},
		{0.17, 3.6794}, {0.18, 3.6847}, {0.19, 3.69}, {0.2, 3.6953}, {0.21, 3.7007}, {0.22, 3.7055},
		{0.23, 3.7097}, {0.24, 3.7135}, {0.25, 3.7168}, {0.26, 3.7199}, {0.27, 3.723}, {0.28, 3.7263},
		{0.29, 3.7298}, {0.3, 3.7331}, {0.31, 3.7362}, {0.32, 3.7392}, {0.33, 3.7422}, {0.34, 3.7451},
		{0.35, 3.7481}, {0.36, 3.751}, {0.37, 3.7539}, {0.38, 3.7567}, {0.39, 3.7593}, {0.4, 3.7622},
		{0.41, 3.7649}, {0.42, 3.7676}, {0.43, 3.7706}, {0.44, 3.7734}, {0.45, 3.7763}, {0.46, 3.779},
		{0.47, 3.7823}, {0.48, 3.7856}, {0.49, 3.7889}, {0.5, 3.7925}, {0.51, 3.796}, {0.52, 3.7999},
		{0.53, 3.8039}, {0.54, 3.808}, {0.55, 3.8122}, {0.56, 3.8167}, {0.57, 3.8212}, {0.58, 3.8262},
		{0.59, 3.8311}, {0.6, 3.8365}, {0.61, 3.842}, {0.62, 3.8478}, {0.63, 3.854}, {0.64, 3.8607},
		{0.65, 3.8675}, {0.66, 3.8751}, {0.67, 3.883}, {0.68, 3.8913}, {0.69, 3.9001}, {0.7, 3.9089},
		{0.71, 3.9177}, {0.72, 3.9265}, {0.73, 3.9352}, {0.74, 3.9436}, {0.75, 3.9519}, {0.76, 3.9601},
		{0.77, 3.9685}, {0.78, 3.9769}, {0.79, 3.9855}, {0.8, 3.9945}, {0.81, 4.0034}, {0.82, 4.0125},
		{0.83, 4.022}, {0.84, 4.0315}, {0.85, 4.0409}, {0.86, 4.0501}, {0.87, 4.0592}, {0.88, 4.0685},
		{0.89, 4.078}, {0.9, 4.088}, {0.91, 4.0979}, {0.92, 4.1079}, {0.93, 4.118}, {0.94, 4.1281},
		{0.95, 4.1384}, {0.96, 4.1488}, {0.97, 4.1594}, {0.98, 4.17}, {0.99, 4.1836}, {0.995, 4.1918},
		{1, 4.2},
	}
}
