#include "services/moves/parameters.h"

#include <variant>

#include "services/yard/yard.h"

namespace chockwise::moves {
namespace {

template <class Quantity>
Quantity ValueParameter(const Parameters& parameters, const char* name) {
  const auto value = yard::ReadMeasuredValue(WordParameter(parameters, name));
  return value && std::holds_alternative<Quantity>(*value) ? std::get<Quantity>(*value)
                                                           : Quantity();
}

}  // namespace

fit::Duration AgeParameter(const Parameters& parameters) {
  const auto text = parameters.find("max_age");
  return text == parameters.end() ? fit::Duration()
                                  : yard::ReadAge(text->second).value_or(fit::Duration());
}

std::string WordParameter(const Parameters& parameters, const char* name) {
  const auto text = parameters.find(name);
  return text == parameters.end() ? "" : text->second;
}

fit::Metres LengthParameter(const Parameters& parameters, const char* name) {
  return ValueParameter<fit::Metres>(parameters, name);
}
fit::Grade GradeParameter(const Parameters& parameters, const char* name) {
  return ValueParameter<fit::Grade>(parameters, name);
}

}  // namespace chockwise::moves
