#include "services/yard/parameters.h"

namespace chockwise::yard {

std::string WordParameter(const Parameters& parameters, const char* name) {
  const auto text = parameters.find(name);
  return text == parameters.end() ? "" : text->second;
}

fit::Duration AgeParameter(const Parameters& parameters) {
  const auto text = parameters.find("max_age");
  return text == parameters.end() ? fit::Duration()
                                  : ReadAge(text->second).value_or(fit::Duration());
}

}  // namespace chockwise::yard
