"""Where the numbers come from: every key that a Source section names, with how its content is known."""

from dataclasses import dataclass

SEEN = "SEEN"
MEMORY = "MEMORY"
COMPUTED = "COMPUTED"
SIMULATED = "SIMULATED"
CHOICE = "CHOICE"
KNOWN_AS = {
    SEEN: "read in the document or in an excerpt of it",
    MEMORY: "cited from memory and not checked again",
    COMPUTED: "worked out here from the stated input",
    SIMULATED: "measured on invented pupils, not on real ones",
    CHOICE: "a choice of this product or common practice, without a source",
}


@dataclass(frozen=True)
class Source:
    """One source.

    Parameters
    ----------
    citation : str
        The full citation, or what was computed or chosen.
    known_as : tuple of str
        How its content is known, as in KNOWN_AS; the first is the weakest.
    gives : str
        What is taken from it.

    Raises
    ------
    Nothing.

    Source
    ------
    [own]

    Examples
    --------
    >>> SOURCES["nist-norris"].known_as
    ('SEEN',)
    """

    citation: str
    known_as: tuple[str, ...]
    gives: str


# fmt: off
SOURCES = {
    "own": Source(
        "No source: defined by this product.", (CHOICE,), "definitions that the docstring states in full"),
    "common-practice": Source(
        "Common practice, no source; provisional.", (CHOICE,), "marks, times and the order of skills"),

    # Scoring and rates
    "fuchs-2005-slides": Source(
        "Slides on scoring mathematics checks after L. S. Fuchs (2005), National Center on Student Progress "
        "Monitoring.", (SEEN,),
        "right numeral in the right place; reversed numerals; trade marks; place-holders; working scored"),
    "uncw-slides": Source(
        "University of North Carolina Wilmington, course slides Error Analysis.", (SEEN,),
        "unfinished, crossed-out and illegible answers; length of checks"),
    "fuchs-guidance": Source(
        "Fuchs and Fuchs, guidance on computation checks, National Center on Student Progress Monitoring.", (MEMORY,),
        "alignment of answers and quotients; items not reached are no errors; the 4507 - 2146 and 403 R 52 examples"),
    "trade-digits-table": Source(
        "Table of thirteen answers scored by the right-aligned rule.", (COMPUTED,), "check values of scoring"),
    "trade-scoring": Source(
        "Matched sheets with and without regrouping tell more than one mixed score.", (CHOICE, COMPUTED),
        "the comparison of a step with its twin"),
    "trade-five-apart": Source(
        "10 + a - b = b - a exactly when b - a = 5; after Brown and Burton (1978), Cognitive Science 2:155-192.",
        (MEMORY, COMPUTED), "columns in which taking the smaller from the larger digit gives the right digit"),
    "trade-two-digit-share": Source(
        "All pairs of two-digit numbers with the top at least the bottom: 1620 of 4095 need regrouping, 39.6 %.",
        (COMPUTED,), "a check of the definition of regrouping"),
    "trade-rates": Source(
        "Digits correct x 60 / seconds; wrong digits x 60 / seconds; correct / (correct + wrong).", (CHOICE, COMPUTED),
        "rates, accuracy and their check values"),

    # Marks and stages
    "burns-2006": Source(
        "Burns, VanDerHeyden and Jiban (2006), School Psychology Review 35(3):401-418; 434 pupils of grades 2 to 5.",
        (SEEN,),
        "14-31 digits correct a minute in grades 2-3 and 24-49 in grades 4-5, on multi-skill sheets; abstract"),
    "howell-nolet-2000": Source(
        "Howell and Nolet (2000), Curriculum-Based Evaluation.", (MEMORY,),
        "accuracy before speed; marks from pupils who can do it and from writing speed"),
    "instructional-hierarchy": Source(
        "Haring and Eaton (1978), in Haring, Lovitt, Eaton and Hansen, The Fourth R.", (MEMORY, SEEN),
        "accuracy first, then speed; seen in summaries by two education agencies"),
    "trade-mastery": Source(
        "Two or three checks running at the mark, and a check again after weeks without practice.", (MEMORY, CHOICE),
        "runs of checks and retention"),
    "ccss-2010": Source(
        "National Governors Association and Council of Chief State School Officers (2010), Common Core State Standards "
        "for Mathematics.", (MEMORY, SEEN),
        "codes; the content of 1.OA.C.6, 2.OA.B.2, 2.NBT.B.5, 3.OA.C.7, 4.NBT.B.4 and 5.NBT.B.5 was seen on pages of "
        "school districts and states, the rest is from memory"),

    # Growth
    "nist-norris": Source(
        "NIST Statistical Reference Datasets, Norris: certified values, as shipped in scipy.", (SEEN,),
        "slope, intercept, their errors and the residual spread to 15 figures"),
    "christ-2006": Source(
        "Christ (2006), School Psychology Review 35(1):128-133.", (SEEN, COMPUTED),
        "error of a slope from the spread and the number of weekly checks"),
    "trade-slope-example": Source(
        "Eight weekly checks 12, 15, 13, 16, 18, 17, 20, 19.", (COMPUTED,), "both slopes and the error"),
    "sen-1968": Source(
        "Sen (1968), Journal of the American Statistical Association 63(324):1379-1389; the example in scipy's tests.",
        (SEEN,), "slope 4 with 93 % interval (3.71, 4.38)"),
    "siegel-1982": Source(
        "Siegel (1982), Biometrika 69(1):242-244; data in robustbase SiegelsEx, after Emerson and Hoaglin (1983) and "
        "Rousseeuw and Leroy (1987), p. 60.", (SEEN,), "nine points of which a third are odd"),
    "sleepstudy-2003": Source(
        "Belenky et al. (2003), Journal of Sleep Research 12:1-12; data in lme4 sleepstudy.", (MEMORY, COMPUTED),
        "slopes of four people by both methods"),
    "parker-2012": Source(
        "Parker, Vannest, Davis and Clemens (2012), Journal of Special Education 46(3).", (SEEN,),
        "show a slope with its error; abstract"),
    "batch-prototypes": Source(
        "Prototypes timed on made-up series; equal to scipy on 1400 of them.", (SIMULATED,),
        "flat sorted columns, blocks of equal length, single precision for sorting"),

    # Time to secure
    "kaplan-meier-1958": Source(
        "Kaplan and Meier (1958), Journal of the American Statistical Association 53:457-481.", (MEMORY,),
        "the product estimate"),
    "greenwood-1926": Source(
        "Greenwood (1926), Reports on Public Health and Medical Subjects 33.", (MEMORY,), "its standard error"),
    "freireich-1963": Source(
        "Freireich et al. (1963), Blood 21:699-716; table in Le, Introductory Biostatistics, and in the results of NAG "
        "g12aac; medians and intervals as R's survival gives them.", (SEEN, COMPUTED), "check values of the estimate"),
    "miller-1981": Source(
        "Miller (1981), Survival Analysis; data in survival leukemia, values as R's survival gives them.",
        (MEMORY, COMPUTED), "a second set of check values"),

    # Intervals, noise and flags
    "newcombe-1998": Source(
        "Newcombe (1998), Statistics in Medicine 17:857-872 and 873-890; after Wilson (1927).", (MEMORY,),
        "intervals of a share and of a difference of shares"),
    "stall-noise": Source(
        "Simulated pupils: counts with Poisson noise, a day effect of 12 % and a form effect of 6 %.", (SIMULATED,),
        "the noise of one check"),
    "stall-accuracy": Source(
        "Simulated pupils: the last four checks pooled against a bound of 88 %.", (SIMULATED,),
        "the accuracy rule and its error rates"),

    # Sheets
    "christ-vining-2006": Source(
        "Christ and Vining (2006), School Psychology Review 35(3):387-400.", (SEEN,),
        "forms made to a plan are more dependable than random ones; abstract"),
    "pcg-2014": Source(
        "O'Neill (2014), PCG: A Family of Simple Fast Space-Efficient Statistically Good Algorithms for Random Number "
        "Generation, HMC-CS-2014-0905.", (MEMORY,), "the generator whose raw words are used"),
    "lemire-2019": Source(
        "Lemire (2019), ACM Transactions on Modeling and Computer Simulation 29(1), article 3.", (MEMORY,),
        "drawing a bounded number without bias by rejection"),
}
# fmt: on
