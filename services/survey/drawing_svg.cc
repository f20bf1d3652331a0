#include "services/survey/drawing_svg.h"

#include <fmt/format.h>

#include <cmath>
#include <cstdint>
#include <iterator>

namespace chockwise::survey {
namespace {

constexpr std::string_view kPatterns = R"(<defs>
<pattern id="hatch" width="9" height="9" patternUnits="userSpaceOnUse">
<path d="M-2,2 L2,-2 M0,9 L9,0 M7,11 L11,7" stroke="#555555" stroke-width="1" fill="none"/></pattern>
<pattern id="cross-hatch" width="12" height="12" patternUnits="userSpaceOnUse">
<path d="M0,12 L12,0 M0,0 L12,12" stroke="#999999" stroke-width="1" fill="none"/></pattern>
<pattern id="dots" width="8" height="8" patternUnits="userSpaceOnUse">
<circle cx="2" cy="2" r="1.1" fill="#666666"/><circle cx="6" cy="6" r="1.1" fill="#666666"/></pattern>
</defs>
)";

/// How many bytes the character at `i` takes in UTF-8; 0 where there is none that XML 1.0 allows.
size_t CharacterAt(std::string_view text, size_t i) {
  const auto byte = [&](size_t k) { return static_cast<uint8_t>(text[k]); };
  const uint8_t first = byte(i);
  if (first < 0x80) return first >= 0x20 && first != 0x7f ? 1 : 0;
  const size_t length = first >= 0xf0 ? 4 : first >= 0xe0 ? 3 : 2;
  if (first < 0xc2 || first > 0xf4 || i + length > text.size()) return 0;
  uint32_t code = first & (0xffu >> (length + 1));
  for (size_t k = 1; k < length; ++k) {
    if ((byte(i + k) & 0xc0) != 0x80) return 0;
    code = (code << 6) | (byte(i + k) & 0x3fu);
  }
  constexpr uint32_t kLeast[] = {0, 0, 0x80, 0x800, 0x10000};
  const bool surrogate = code >= 0xd800 && code <= 0xdfff;
  const bool allowed = code >= kLeast[length] && code <= 0x10ffff && !surrogate && code >= 0xa0 &&
                       (code & 0xfffe) != 0xfffe;
  return allowed ? length : 0;
}

std::string PenText(const Pen& pen) {
  std::string text = fmt::format(R"(stroke="{}" stroke-width="{:.1f}" fill="{}")", pen.stroke,
                                 pen.width_px, pen.fill);
  if (!pen.dashes.empty()) text += fmt::format(R"( stroke-dasharray="{}")", pen.dashes);
  return text;
}

enum class Ends { kOpen, kClosed };

std::string PathText(const std::vector<fit::Point>& points, Ends ends) {
  std::string path;
  for (size_t i = 0; i < points.size(); ++i)
    fmt::format_to(std::back_inserter(path), "{}{:.2f},{:.2f} ", i == 0 ? "M" : "L", points[i].x_m,
                   points[i].y_m);
  if (ends == Ends::kClosed && !points.empty()) path += "Z ";
  return path;
}

}  // namespace

std::string Escaped(std::string_view text) {
  std::string out;
  for (size_t i = 0; i < text.size();) {
    const size_t length = CharacterAt(text, i);
    if (length == 0) {
      out += '?';
      ++i;
      continue;
    }
    const std::string_view character = text.substr(i, length);
    if (character == "&") {
      out += "&amp;";
    } else if (character == "<") {
      out += "&lt;";
    } else if (character == ">") {
      out += "&gt;";
    } else if (character == "\"") {
      out += "&quot;";
    } else {
      out += character;
    }
    i += length;
  }
  return out;
}

Sheet::Sheet(const SheetSize& size, std::string_view title) {
  svg_ = fmt::format(
      "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"
      "<svg xmlns=\"http://www.w3.org/2000/svg\" version=\"1.1\" width=\"{0:.0f}\" "
      "height=\"{1:.0f}\" viewBox=\"0 0 {0:.0f} {1:.0f}\" font-family=\"sans-serif\">\n"
      "<title>{2}</title>\n",
      size.width_px, size.height_px, Escaped(title));
  Put(kPatterns);
  Put(fmt::format("<rect x=\"0\" y=\"0\" width=\"{:.0f}\" height=\"{:.0f}\" fill=\"#ffffff\"/>\n",
                  size.width_px, size.height_px));
}

void Sheet::Line(const fit::Line& line, const Pen& pen) {
  if (line.size() < 2) return;
  Put(fmt::format("<path d=\"{}\" {} stroke-linejoin=\"round\"/>\n", PathText(line, Ends::kOpen),
                  PenText(pen)));
}

void Sheet::Ring(const fit::Ring& ring, const Pen& pen) { Rings({ring}, pen); }

void Sheet::Rings(const std::vector<fit::Ring>& rings, const Pen& pen) {
  std::string path;
  for (const fit::Ring& ring : rings) path += PathText(ring, Ends::kClosed);
  if (path.empty()) return;
  Put(fmt::format("<path d=\"{}\" {} fill-rule=\"evenodd\"/>\n", path, PenText(pen)));
}

void Sheet::Circle(const Round& round, const Pen& pen) {
  Put(fmt::format("<circle cx=\"{:.2f}\" cy=\"{:.2f}\" r=\"{:.2f}\" {}/>\n", round.middle.x_m,
                  round.middle.y_m, round.radius_px, PenText(pen)));
}

void Sheet::Text(fit::Point at, std::string_view text, const Lettering& lettering) {
  const char* anchor = "start";
  switch (lettering.anchor) {
    case Anchor::kStart:
      break;
    case Anchor::kMiddle:
      anchor = "middle";
      break;
    case Anchor::kEnd:
      anchor = "end";
      break;
  }
  const std::string place = fmt::format(
      "x=\"{:.1f}\" y=\"{:.1f}\" font-size=\"{:.0f}\" font-weight=\"{}\" "
      "text-anchor=\"{}\"",
      at.x_m, at.y_m, lettering.size_px, lettering.weight, anchor);
  const std::string escaped = Escaped(text);
  Put(
      fmt::format("<text {} stroke=\"#ffffff\" stroke-width=\"4\" stroke-linejoin=\"round\" "
                  "fill=\"#ffffff\">{}</text>\n",
                  place, escaped));
  Put(fmt::format("<text {} fill=\"#000000\">{}</text>\n", place, escaped));
}

void Sheet::Head(const Arrow& arrow, double size_px, std::string_view fill) {
  const fit::Point step = arrow.tip - arrow.tail;
  const double length = fit::LengthM(step);
  if (length == 0) return;
  const fit::Point along = (1 / length) * step;
  const fit::Point across = {-along.y_m, along.x_m};
  const fit::Point back = arrow.tip - size_px * along;
  Ring({arrow.tip, back + (size_px / 2) * across, back - (size_px / 2) * across},
       {.stroke = fill, .fill = fill});
}

void Sheet::BeginClip(const SheetSize& size, fit::Point corner) {
  ++clips_;
  Put(
      fmt::format("<clipPath id=\"clip-{0}\"><rect x=\"{1:.1f}\" y=\"{2:.1f}\" width=\"{3:.1f}\" "
                  "height=\"{4:.1f}\"/></clipPath>\n<g clip-path=\"url(#clip-{0})\">\n",
                  clips_, corner.x_m, corner.y_m, size.width_px, size.height_px));
}

void Sheet::EndClip() { Put("</g>\n"); }

std::string Sheet::Svg() && { return std::move(svg_) + "</svg>\n"; }

}  // namespace chockwise::survey
