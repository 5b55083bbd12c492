//! The sources of the methods: what the documentation of the statistics and policies cites.

use crate::bibliography::Entry;

const fn work(
    key: &'static str,
    kind: &'static str,
    authors: &'static str,
    year: u16,
    title: &'static str,
    venue: &'static str,
) -> Entry {
    Entry { key, kind, authors, year: Some(year), title, venue, doi: None, url: None }
}

/// Sources of methods, in order of key. Titles and pages are from memory.
pub const METHODS: &[Entry] = &[
    work(
        "abramowitz1964",
        "book",
        "Abramowitz, Milton and Stegun, Irene A.",
        1964,
        "Handbook of Mathematical Functions",
        "National Bureau of Standards",
    ),
    work(
        "akaike1974",
        "article",
        "Akaike, Hirotugu",
        1974,
        "A new look at the statistical model identification",
        "IEEE Transactions on Automatic Control 19:716--723",
    ),
    work(
        "antonov1979",
        "article",
        "Antonov, I. A. and Saleev, V. M.",
        1979,
        "An economic method of computing LP$_\\tau$-sequences",
        "USSR Computational Mathematics and Mathematical Physics 19:252--256",
    ),
    work(
        "bell2002",
        "article",
        "Bell, Robert M. and McCaffrey, Daniel F.",
        2002,
        "Bias reduction in standard errors for linear regression with multi-stage samples",
        "Survey Methodology 28:169--181",
    ),
    work(
        "benjamini1995",
        "article",
        "Benjamini, Yoav and Hochberg, Yosef",
        1995,
        "Controlling the false discovery rate: a practical and powerful approach to multiple testing",
        "Journal of the Royal Statistical Society B 57:289--300",
    ),
    work(
        "birattari2002",
        "inproceedings",
        "Birattari, Mauro and St{\\\"u}tzle, Thomas and Paquete, Luis and Varrentrapp, Klaus",
        2002,
        "A racing algorithm for configuring metaheuristics",
        "Proceedings of GECCO 2002, 11--18",
    ),
    work(
        "box1976",
        "book",
        "Box, George E. P. and Jenkins, Gwilym M.",
        1976,
        "Time Series Analysis: Forecasting and Control",
        "Holden-Day",
    ),
    work(
        "box1980",
        "article",
        "Box, George E. P.",
        1980,
        "Sampling and Bayes' inference in scientific modelling and robustness",
        "Journal of the Royal Statistical Society, Series A 143:383--430",
    ),
    work(
        "bratley1988",
        "article",
        "Bratley, Paul and Fox, Bennett L.",
        1988,
        "Algorithm 659: Implementing Sobol's quasirandom sequence generator",
        "ACM Transactions on Mathematical Software 14:88--100",
    ),
    work(
        "brown2001",
        "article",
        "Brown, Lawrence D. and Cai, T. Tony and DasGupta, Anirban",
        2001,
        "Interval estimation for a binomial proportion",
        "Statistical Science 16:101--133",
    ),
    work(
        "cameron2008",
        "article",
        "Cameron, A. Colin and Gelbach, Jonah B. and Miller, Douglas L.",
        2008,
        "Bootstrap-based improvements for inference with clustered errors",
        "Review of Economics and Statistics 90:414--427",
    ),
    work(
        "cameron2011",
        "article",
        "Cameron, A. Colin and Gelbach, Jonah B. and Miller, Douglas L.",
        2011,
        "Robust inference with multiway clustering",
        "Journal of Business and Economic Statistics 29:238--249",
    ),
    work(
        "chan1983",
        "article",
        "Chan, Tony F. and Golub, Gene H. and LeVeque, Randall J.",
        1983,
        "Algorithms for computing the sample variance: analysis and recommendations",
        "The American Statistician 37:242--247",
    ),
    work(
        "chernozhukov2013",
        "article",
        "Chernozhukov, Victor and Chetverikov, Denis and Kato, Kengo",
        2013,
        "Gaussian approximations and multiplier bootstrap for maxima of sums of high-dimensional random vectors",
        "The Annals of Statistics 41:2786--2819",
    ),
    work(
        "clopper1934",
        "article",
        "Clopper, C. J. and Pearson, E. S.",
        1934,
        "The use of confidence or fiducial limits illustrated in the case of the binomial",
        "Biometrika 26:404--413",
    ),
    work("cochran1977", "book", "Cochran, William G.", 1977, "Sampling Techniques", "Wiley, 3rd edition"),
    work(
        "david2003",
        "book",
        "David, Herbert A. and Nagaraja, Haikady N.",
        2003,
        "Order Statistics",
        "Wiley, 3rd edition",
    ),
    work(
        "deb2001",
        "book",
        "Deb, Kalyanmoy",
        2001,
        "Multi-Objective Optimization Using Evolutionary Algorithms",
        "Wiley",
    ),
    work(
        "donner2000",
        "book",
        "Donner, Allan and Klar, Neil",
        2000,
        "Design and Analysis of Cluster Randomization Trials in Health Research",
        "Arnold",
    ),
    work(
        "duffie1993",
        "article",
        "Duffie, Darrell and Singleton, Kenneth J.",
        1993,
        "Simulated moments estimation of Markov models of asset prices",
        "Econometrica 61:929--952",
    ),
    work(
        "dunnett1955",
        "article",
        "Dunnett, Charles W.",
        1955,
        "A multiple comparison procedure for comparing several treatments with a control",
        "Journal of the American Statistical Association 50:1096--1121",
    ),
    work(
        "dunnettsobel1955",
        "article",
        "Dunnett, Charles W. and Sobel, Milton",
        1955,
        "Approximations to the probability integral and certain percentage points of a multivariate analogue of Student's t-distribution",
        "Biometrika 42:258--260",
    ),
    work(
        "efron1983",
        "article",
        "Efron, Bradley",
        1983,
        "Estimating the error rate of a prediction rule: improvement on cross-validation",
        "Journal of the American Statistical Association 78:316--331",
    ),
    work(
        "efron1993",
        "book",
        "Efron, Bradley and Tibshirani, Robert J.",
        1993,
        "An Introduction to the Bootstrap",
        "Chapman and Hall",
    ),
    Entry {
        doi: Some("10.1093/biomet/asv068"),
        ..work(
            "efron2016",
            "article",
            "Efron, Bradley",
            2016,
            "Empirical Bayes deconvolution estimates",
            "Biometrika 103:1--20",
        )
    },
    work(
        "fisher1921",
        "article",
        "Fisher, R. A.",
        1921,
        "On the probable error of a coefficient of correlation deduced from a small sample",
        "Metron 1:3--32",
    ),
    work(
        "francisco1991",
        "article",
        "Francisco, Carol A. and Fuller, Wayne A.",
        1991,
        "Quantile estimation with a complex survey design",
        "Annals of Statistics 19:454--469",
    ),
    work(
        "golub2013",
        "book",
        "Golub, Gene H. and Van Loan, Charles F.",
        2013,
        "Matrix Computations",
        "Johns Hopkins University Press, 4th edition",
    ),
    work(
        "gourieroux1993",
        "article",
        "Gourieroux, Christian and Monfort, Alain and Renault, Eric",
        1993,
        "Indirect inference",
        "Journal of Applied Econometrics 8:S85--S118",
    ),
    work(
        "hall1992",
        "article",
        "Hall, Peter",
        1992,
        "On the removal of skewness by transformation",
        "Journal of the Royal Statistical Society, Series B 54:221--228",
    ),
    work(
        "hastie2009",
        "book",
        "Hastie, Trevor and Tibshirani, Robert and Friedman, Jerome",
        2009,
        "The Elements of Statistical Learning",
        "Springer, 2nd edition",
    ),
    work(
        "heathcote2000",
        "article",
        "Heathcote, Andrew and Brown, Scott and Mewhort, D. J. K.",
        2000,
        "The power law repealed: The case for an exponential law of practice",
        "Psychonomic Bulletin & Review 7:185--207",
    ),
    work(
        "holm1979",
        "article",
        "Holm, Sture",
        1979,
        "A simple sequentially rejective multiple test procedure",
        "Scandinavian Journal of Statistics 6:65--70",
    ),
    work(
        "hothorn2008",
        "article",
        "Hothorn, Torsten and Bretz, Frank and Westfall, Peter",
        2008,
        "Simultaneous inference in general parametric models",
        "Biometrical Journal 50:346--363",
    ),
    work(
        "howard2021",
        "article",
        "Howard, Steven R. and Ramdas, Aaditya and McAuliffe, Jon and Sekhon, Jasjeet",
        2021,
        "Time-uniform, nonparametric, nonasymptotic confidence sequences",
        "The Annals of Statistics 49:1055--1080",
    ),
    work(
        "hyndman1996",
        "article",
        "Hyndman, Rob J. and Fan, Yanan",
        1996,
        "Sample quantiles in statistical packages",
        "The American Statistician 50:361--365",
    ),
    work(
        "jansen1999",
        "article",
        "Jansen, Michiel J. W.",
        1999,
        "Analysis of variance designs for model output",
        "Computer Physics Communications 117:35--43",
    ),
    work(
        "johnson1994",
        "book",
        "Johnson, Norman L. and Kotz, Samuel and Balakrishnan, N.",
        1994,
        "Continuous Univariate Distributions, volume 1",
        "Wiley, 2nd edition",
    ),
    work(
        "johnson1995",
        "book",
        "Johnson, Norman L. and Kotz, Samuel and Balakrishnan, N.",
        1995,
        "Continuous Univariate Distributions, volume 2",
        "Wiley, 2nd edition",
    ),
    work("kish1965", "book", "Kish, Leslie", 1965, "Survey Sampling", "Wiley"),
    work(
        "knowles2002",
        "phdthesis",
        "Knowles, Joshua D.",
        2002,
        "Local-Search and Hybrid Evolutionary Algorithms for Pareto Optimization",
        "University of Reading",
    ),
    work(
        "korn1998",
        "article",
        "Korn, Edward L. and Graubard, Barry I.",
        1998,
        "Confidence intervals for proportions with small expected number of positive counts estimated from survey data",
        "Survey Methodology 24:193--201",
    ),
    work("korn1999", "book", "Korn, Edward L. and Graubard, Barry I.", 1999, "Analysis of Health Surveys", "Wiley"),
    work(
        "lacouture2008",
        "article",
        "Lacouture, Yves and Cousineau, Denis",
        2008,
        "How to use MATLAB to fit the ex-Gaussian and other probability functions to a distribution of response times",
        "Tutorials in Quantitative Methods for Psychology 4:35--45",
    ),
    work(
        "loader2000",
        "techreport",
        "Loader, Catherine",
        2000,
        "Fast and accurate computation of binomial probabilities",
        "Bell Laboratories",
    ),
    work(
        "luce1986",
        "book",
        "Luce, R. Duncan",
        1986,
        "Response Times: Their Role in Inferring Elementary Mental Organization",
        "Oxford University Press",
    ),
    work(
        "mammen1993",
        "article",
        "Mammen, Enno",
        1993,
        "Bootstrap and wild bootstrap for high dimensional linear models",
        "The Annals of Statistics 21:255--285",
    ),
    work(
        "maron1997",
        "article",
        "Maron, Oded and Moore, Andrew W.",
        1997,
        "The racing algorithm: Model selection for lazy learners",
        "Artificial Intelligence Review 11:193--225",
    ),
    work(
        "marsaglia2003",
        "article",
        "Marsaglia, George and Tsang, Wai Wan and Wang, Jingbo",
        2003,
        "Evaluating Kolmogorov's distribution",
        "Journal of Statistical Software 8(18)",
    ),
    work(
        "massey1951",
        "article",
        "Massey, Frank J.",
        1951,
        "The Kolmogorov-Smirnov test for goodness of fit",
        "Journal of the American Statistical Association 46:68--78",
    ),
    work(
        "mcfadden1989",
        "article",
        "McFadden, Daniel",
        1989,
        "A method of simulated moments for estimation of discrete response models without numerical integration",
        "Econometrica 57:995--1026",
    ),
    work(
        "mckay1979",
        "article",
        "McKay, M. D. and Beckman, R. J. and Conover, W. J.",
        1979,
        "A comparison of three methods for selecting values of input variables in the analysis of output from a computer code",
        "Technometrics 21:239--245",
    ),
    work(
        "more1978",
        "inproceedings",
        "Mor{\\'e}, Jorge J.",
        1978,
        "The Levenberg-Marquardt algorithm: implementation and theory",
        "Numerical Analysis, Lecture Notes in Mathematics 630:105--116",
    ),
    work(
        "morris2019",
        "article",
        "Morris, Tim P. and White, Ian R. and Crowther, Michael J.",
        2019,
        "Using simulation studies to evaluate statistical methods",
        "Statistics in Medicine 38:2074--2102",
    ),
    work(
        "nelder1965",
        "article",
        "Nelder, J. A. and Mead, R.",
        1965,
        "A simplex method for function minimization",
        "The Computer Journal 7:308--313",
    ),
    work(
        "neumaier1974",
        "article",
        "Neumaier, Arnold",
        1974,
        "Rundungsfehleranalyse einiger Verfahren zur Summation endlicher Summen",
        "ZAMM 54:39--51",
    ),
    work(
        "newcombe1998a",
        "article",
        "Newcombe, Robert G.",
        1998,
        "Two-sided confidence intervals for the single proportion: comparison of seven methods",
        "Statistics in Medicine 17:857--872",
    ),
    work(
        "neyman1933",
        "article",
        "Neyman, Jerzy and Pearson, Egon S.",
        1933,
        "On the problem of the most efficient tests of statistical hypotheses",
        "Philosophical Transactions of the Royal Society A 231:289--337",
    ),
    work("owen2013", "book", "Owen, Art B.", 2013, "Monte Carlo Theory, Methods and Examples", "Stanford University"),
    work(
        "patton2009",
        "article",
        "Patton, Andrew and Politis, Dimitris N. and White, Halbert",
        2009,
        "Correction to Automatic block-length selection for the dependent bootstrap",
        "Econometric Reviews 28:372--375",
    ),
    work(
        "politis1992",
        "incollection",
        "Politis, Dimitris N. and Romano, Joseph P.",
        1992,
        "A circular block-resampling procedure for stationary data",
        "LePage and Billard, Exploring the Limits of Bootstrap, 263--270",
    ),
    work(
        "politis2004",
        "article",
        "Politis, Dimitris N. and White, Halbert",
        2004,
        "Automatic block-length selection for the dependent bootstrap",
        "Econometric Reviews 23:53--70",
    ),
    work(
        "robbins1970",
        "article",
        "Robbins, Herbert",
        1970,
        "Statistical methods related to the law of the iterated logarithm",
        "Annals of Mathematical Statistics 41:1397--1409",
    ),
    work(
        "saltelli2010",
        "article",
        "Saltelli, Andrea and Annoni, Paola and Azzini, Ivano and Campolongo, Francesca and Ratto, Marco and Tarantola, Stefano",
        2010,
        "Variance based sensitivity analysis of model output: design and estimator for the total sensitivity index",
        "Computer Physics Communications 181:259--270",
    ),
    work(
        "satterthwaite1946",
        "article",
        "Satterthwaite, F. E.",
        1946,
        "An approximate distribution of estimates of variance components",
        "Biometrics Bulletin 2:110--114",
    ),
    work(
        "schuirmann1987",
        "article",
        "Schuirmann, Donald J.",
        1987,
        "A comparison of the two one-sided tests procedure and the power approach for assessing the equivalence of average bioavailability",
        "Journal of Pharmacokinetics and Biopharmaceutics 15:657--680",
    ),
    work(
        "searle1992",
        "book",
        "Searle, Shayle R. and Casella, George and McCulloch, Charles E.",
        1992,
        "Variance Components",
        "Wiley",
    ),
    work(
        "silverman1982",
        "article",
        "Silverman, B. W.",
        1982,
        "On the estimation of a probability density function by the maximum penalized likelihood method",
        "Annals of Statistics 10:795--810",
    ),
    work(
        "simard2011",
        "article",
        "Simard, Richard and L'Ecuyer, Pierre",
        2011,
        "Computing the two-sided Kolmogorov-Smirnov distribution",
        "Journal of Statistical Software 39(11)",
    ),
    work(
        "skellam1948",
        "article",
        "Skellam, J. G.",
        1948,
        "A probability distribution derived from the binomial distribution by regarding the probability of success as variable between the sets of trials",
        "Journal of the Royal Statistical Society B 10:257--261",
    ),
    work(
        "smith1985",
        "article",
        "Smith, Richard L.",
        1985,
        "Maximum likelihood estimation in a class of nonregular cases",
        "Biometrika 72:67--90",
    ),
    work(
        "soukoreff2003",
        "inproceedings",
        "Soukoreff, R. William and MacKenzie, I. Scott",
        2003,
        "Metrics for text entry research: an evaluation of MSD and KSPC, and a new unified error metric",
        "Proceedings of the 2003 CHI Conference on Human Factors in Computing Systems, 113--120",
    ),
    work(
        "spearman1904",
        "article",
        "Spearman, C.",
        1904,
        "The proof and measurement of association between two things",
        "American Journal of Psychology 15:72--101",
    ),
    work(
        "stone1974",
        "article",
        "Stone, Mervyn",
        1974,
        "Cross-validatory choice and assessment of statistical predictions",
        "Journal of the Royal Statistical Society, Series B 36:111--147",
    ),
    work(
        "wahba1983",
        "article",
        "Wahba, Grace",
        1983,
        "Bayesian ``confidence intervals'' for the cross-validated smoothing spline",
        "Journal of the Royal Statistical Society B 45:133--150",
    ),
    work(
        "wald1945",
        "article",
        "Wald, Abraham",
        1945,
        "Sequential tests of statistical hypotheses",
        "Annals of Mathematical Statistics 16:117--186",
    ),
    work(
        "waudbysmith2023",
        "article",
        "Waudby-Smith, Ian and Ramdas, Aaditya",
        2023,
        "Estimating means of bounded random variables by betting",
        "Journal of the Royal Statistical Society B 86:1--27",
    ),
    work(
        "waudbysmith2024",
        "article",
        "Waudby-Smith, Ian and Arbour, David and Sinha, Ritwik and Kennedy, Edward H. and Ramdas, Aaditya",
        2024,
        "Time-uniform central limit theory and asymptotic confidence sequences",
        "The Annals of Statistics 52:2613--2640",
    ),
    work(
        "welford1962",
        "article",
        "Welford, B. P.",
        1962,
        "Note on a method for calculating corrected sums of squares and products",
        "Technometrics 4:419--420",
    ),
    work(
        "westfall1993",
        "book",
        "Westfall, Peter H. and Young, S. Stanley",
        1993,
        "Resampling-Based Multiple Testing",
        "Wiley",
    ),
    work(
        "wichura1988",
        "article",
        "Wichura, Michael J.",
        1988,
        "Algorithm AS 241: the percentage points of the normal distribution",
        "Applied Statistics 37:477--484",
    ),
    work(
        "wilson1927",
        "article",
        "Wilson, Edwin B.",
        1927,
        "Probable inference, the law of succession, and statistical inference",
        "Journal of the American Statistical Association 22:209--212",
    ),
    work(
        "wobbrock2006",
        "article",
        "Wobbrock, Jacob O. and Myers, Brad A.",
        2006,
        "Analyzing the input stream for character-level errors in unconstrained text entry evaluations",
        "ACM Transactions on Computer-Human Interaction 13:458--489",
    ),
    work(
        "woodruff1952",
        "article",
        "Woodruff, Ralph S.",
        1952,
        "Confidence intervals for medians and other position measures",
        "Journal of the American Statistical Association 47:635--646",
    ),
    work(
        "zitzler1999",
        "article",
        "Zitzler, Eckart and Thiele, Lothar",
        1999,
        "Multiobjective evolutionary algorithms: a comparative case study and the strength Pareto approach",
        "IEEE Transactions on Evolutionary Computation 3:257--271",
    ),
    work(
        "zou2008",
        "article",
        "Zou, Guang Yong and Donner, Allan",
        2008,
        "Construction of confidence limits about effect measures: a general approach",
        "Statistics in Medicine 27:1693--1702",
    ),
];

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;
    use std::fs;
    use std::path::{Path, PathBuf};

    use super::*;
    use crate::bibliography::BIBLIOGRAPHY;

    fn sources(folder: &Path, into: &mut Vec<PathBuf>) {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                sources(&path, into);
            } else if path.extension().is_some_and(|e| e == "rs") {
                into.push(path);
            }
        }
    }

    fn texts(crates: &[&str]) -> Vec<(PathBuf, String)> {
        let mut paths = Vec::new();
        for name in crates {
            sources(&Path::new(env!("CARGO_MANIFEST_DIR")).join("..").join(name).join("src"), &mut paths);
        }
        paths.sort();
        let this = |path: &PathBuf| !path.ends_with("bibliography_methods.rs");
        paths.into_iter().filter(this).map(|path| (path.clone(), fs::read_to_string(path).unwrap())).collect()
    }

    /// Family names, without what BibTeX adds to letters.
    fn families(entry: &Entry) -> Vec<String> {
        let plain = entry.authors.replace(['{', '}', '\\', '\''], "");
        plain.split(" and ").map(|author| author.split(',').next().unwrap_or_default().to_owned()).collect()
    }

    #[test]
    fn keys_are_in_order_and_new() {
        let keys: Vec<&str> = METHODS.iter().map(|e| e.key).collect();
        assert!(keys.is_sorted());
        assert_eq!(keys.iter().collect::<BTreeSet<_>>().len(), keys.len());
        assert!(BIBLIOGRAPHY.iter().all(|e| !keys.contains(&e.key)));
    }

    #[test]
    fn what_a_source_heading_of_the_statistics_cites_is_listed() {
        let mut missing = Vec::new();
        let mut seen = 0;
        for (path, text) in texts(&["agogic-stats"]) {
            let lines: Vec<&str> = text.lines().collect();
            let mut within = false;
            for (i, line) in lines.iter().enumerate() {
                let doc = line.trim_start().trim_start_matches('/').trim_start_matches('!').trim_start();
                let comment = line.trim_start().starts_with("//");
                within = comment && (doc == "# Source" || (within && !doc.starts_with('#') && !doc.is_empty()));
                if !within {
                    continue;
                }
                let near = format!("{} {line}", if i > 0 { lines[i - 1] } else { "" });
                for year in years(doc) {
                    seen += 1;
                    let cited =
                        |e: &Entry| e.year == Some(year) && families(e).iter().any(|f| plain(&near).contains(f));
                    if !METHODS.iter().chain(BIBLIOGRAPHY).any(cited) {
                        missing.push(format!("{}:{}: {doc}", path.display(), i + 1));
                    }
                }
            }
        }
        assert!(seen > 50, "only {seen} citations found");
        assert!(missing.is_empty(), "{missing:#?}");
    }

    fn plain(text: &str) -> String {
        text.replace('\'', "").replace('é', "e")
    }

    /// Years in brackets.
    fn years(text: &str) -> Vec<u16> {
        let parts = text.split('(').skip(1).filter_map(|part| part.split(')').next());
        parts.filter_map(|part| part.parse().ok()).filter(|year| (1900..2030).contains(year)).collect()
    }

    #[test]
    fn the_gate_sees_a_citation_that_is_not_listed() {
        assert_eq!(years("Nobody (1931), Journal 12(3):4; Else (2001)."), [1931, 2001]);
        assert!(!METHODS.iter().any(|e| e.year == Some(1931) && families(e).contains(&"Nobody".to_owned())));
    }
}
