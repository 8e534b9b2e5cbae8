#include "teach/claims.h"

namespace stillhand::teach {

std::string_view source(Claim claim) {
  switch (claim) {
    case Claim::custom:
      return "Common practice among teachers, no source.";
    case Claim::judgement:
      return "Our judgement, from the number of shapes, moves and bars and from the tempo.";
    case Claim::model:
      return "P. Henley, Journal of Research in Music Education 49(2), 2001: a recorded model "
             "helped "
             "the rhythm and the tempo of 60 wind players; which way the tempo was raised made no "
             "difference.";
    case Claim::few_at_once:
      return "N. Cowan, Current Directions in Psychological Science 19, 2010, 51–57: working "
             "memory "
             "holds about three to five things.";
    case Claim::right_and_stable:
      return "R. Duke, A. Simmons and C. Cash, “It's not how much; it's how”, Journal of Research "
             "in "
             "Music Education 56(4), 2009, 310–321: 17 pianists kept best what they had played "
             "right "
             "most often, not longest; the best of them found the fault, slowed down enough and "
             "repeated until it was stable, and, as summaries of the study report, played hands "
             "together early.";
    case Claim::sections:
      return "R. Chaffin and G. Imreh, “Pulling teeth and torture”, Thinking & Reasoning 3(4), "
             "1997, "
             "315–336: skilled practice stops and starts where sections do.";
    case Claim::nights_between:
      return "A. Simmons, Journal of Research in Music Education 59(4), 2012, 357–368: of 29 "
             "beginners at the keyboard only those with 24 hours between sessions grew more "
             "accurate.";
    case Claim::not_minutes:
      return "M. Wiseheart, A. D'Souza and J. Chae, PLoS ONE 12(8), 2017, e0182986: gaps of up to "
             "15 "
             "minutes made no difference on a piano sequence.";
    case Claim::slow_practice:
      return "E. Allingham and C. Wöllner, Psychology of Music, 2022, doi "
             "10.1177/03057356211073481: "
             "99 of 100 classical and 89 of 100 other players practise slowly (256 asked).";
    case Claim::warm_up:
      return "NASM and PAMA, Protecting Your Neuromusculoskeletal Health: warm up, take breaks, no "
             "sudden increase, see a professional if worried.";
    case Claim::long_stretches:
      return "C. Cruder, PhD thesis, Queen Margaret University, 2022: of 850 music students those "
             "who "
             "felt the effort grow after 45 minutes without a break were more at risk.";
    case Claim::listening_level:
      return "WHO–ITU H.870, 2019: 80 dB(A) for at most 40 hours a week, 75 dB(A) for children.";
  }
  return "";
}

const std::vector<Claim>& all_claims() {
  static const std::vector<Claim> all{
      Claim::custom,           Claim::judgement, Claim::model,          Claim::few_at_once,
      Claim::right_and_stable, Claim::sections,  Claim::nights_between, Claim::not_minutes,
      Claim::slow_practice,    Claim::warm_up,   Claim::long_stretches, Claim::listening_level};
  return all;
}

}  // namespace stillhand::teach
