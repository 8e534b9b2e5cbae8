#include "write/pdf_reading.h"

#include <qpdf/Buffer.hh>
#include <qpdf/QPDF.hh>
#include <qpdf/QPDFNumberTreeObjectHelper.hh>
#include <qpdf/QPDFObjectHandle.hh>
#include <qpdf/QPDFPageDocumentHelper.hh>
#include <set>

namespace stillhand::write::test {
namespace {

using Object = QPDFObjectHandle;

// What the content of a page is tagged with, read as a reader of PDF does.
class Content : public Object::ParserCallbacks {
 public:
  void handleObject(Object object) override {
    if (!object.isOperator()) {
      operands_.push_back(object);
      return;
    }
    step(object.getOperatorValue());
    operands_.clear();
  }
  void handleEOF() override {
    if (!open_.empty()) faults.push_back("a tag stays open");
  }

  std::vector<int> content;  // the identifiers, in the order of drawing
  int artifacts = 0;
  std::vector<std::string> faults;

 private:
  void step(const std::string& op) {
    static const std::set<std::string> shows{"Tj", "TJ", "'",  "\"", "f",  "F",  "f*", "S",
                                             "s",  "B",  "B*", "b",  "b*", "Do", "sh"};
    if (op == "BT") in_text_ = true;
    if (op == "ET") {
      in_text_ = false;
      if (!open_.empty() && open_.back().in_text) faults.push_back("a tag ends after its text");
    }
    if (op == "BDC" || op == "BMC") begin(op);
    if (op == "EMC") {
      if (open_.empty()) return faults.push_back("a tag ends that never began");
      if (open_.back().in_text != in_text_) faults.push_back("a tag and a text are not nested");
      open_.pop_back();
    }
    if (shows.count(op) > 0 && open_.empty()) faults.push_back("untagged: " + op);
  }

  void begin(const std::string& op) {
    const std::string name = operands_.front().getName();
    if (name == "/Artifact") {
      ++artifacts;
    } else if (op == "BDC" && operands_.back().isDictionary() && operands_.back().hasKey("/MCID")) {
      content.push_back(operands_.back().getKey("/MCID").getIntValueAsInt());
    } else if (name != "/Span") {
      faults.push_back("neither content nor artifact: " + name);
    }
    if (name != "/Span" && !open_.empty()) faults.push_back("tags in each other");
    open_.push_back({in_text_});
  }

  struct Open {
    bool in_text;
  };
  std::vector<Object> operands_;
  std::vector<Open> open_;
  bool in_text_ = false;
};

class Reader {
 public:
  explicit Reader(const std::string& bytes) {
    pdf_.setSuppressWarnings(true);
    pdf_.processMemoryFile("test", bytes.data(), bytes.size());
  }

  TaggedPdf read() {
    Object root = pdf_.getRoot();
    out_.is_marked = root.getKey("/MarkInfo").getKey("/Marked").getBoolValue();
    out_.shows_title = root.getKey("/ViewerPreferences").getKey("/DisplayDocTitle").getBoolValue();
    out_.language = root.getKey("/Lang").getUTF8Value();
    const auto data = root.getKey("/Metadata").getStreamData();
    out_.metadata.assign(reinterpret_cast<const char*>(data->getBuffer()), data->getSize());
    Object tree = root.getKey("/StructTreeRoot");
    walk(tree.getKey("/K"), tree);
    std::size_t drawn = 0;
    for (QPDFPageObjectHelper& page : QPDFPageDocumentHelper(pdf_).getAllPages())
      drawn += read_page(page, tree.getKey("/ParentTree"));
    std::size_t told = 0;
    for (const PdfElement& element : out_.elements) told += element.content.size();
    if (told != drawn) fault("content in the tree is not the content of the pages");
    return std::move(out_);
  }

 private:
  void fault(const std::string& what) { out_.faults.push_back(what); }

  void walk(Object element, const Object& parent) {
    if (element.getKey("/P").getObjGen() != parent.getObjGen())
      fault("not the child of its parent");
    PdfElement found;
    found.kind = element.getKey("/S").getName();
    if (element.hasKey("/Alt")) found.says = element.getKey("/Alt").getUTF8Value();
    found.has_box = element.hasKey("/A") && element.getKey("/A").getKey("/BBox").isArray();
    Object kids = element.getKey("/K");
    std::vector<Object> below;
    for (int i = 0; i < kids.getArrayNItems(); ++i) {
      Object kid = kids.getArrayItem(i);
      if (kid.isInteger()) found.content.push_back(kid.getIntValueAsInt());
      if (kid.isDictionary() && kid.hasKey("/S")) below.push_back(kid);
    }
    out_.elements.push_back(found);
    for (const Object& kid : below) walk(kid, element);
  }

  std::size_t read_page(QPDFPageObjectHelper& page, const Object& parent_tree) {
    Content found;
    page.parseContents(&found);
    out_.faults.insert(out_.faults.end(), found.faults.begin(), found.faults.end());
    if (found.content.empty()) return 0;  // a blank page of a book
    const std::set<int> once(found.content.begin(), found.content.end());
    if (once.size() != found.content.size()) fault("content twice");
    QPDFNumberTreeObjectHelper parents(parent_tree, pdf_);
    Object elements;
    Object object = page.getObjectHandle();
    if (!parents.findObject(object.getKey("/StructParents").getIntValue(), elements)) {
      fault("a page without elements");
      return 0;
    }
    for (int i = 0; i < elements.getArrayNItems(); ++i) {
      Object element = elements.getArrayItem(i);
      if (element.isNull() != (once.count(i) == 0))
        fault("content without element or the other way round");
      if (element.isNull()) continue;
      if (element.getKey("/Pg").getObjGen() != object.getObjGen())
        fault("an element of another page");
    }
    return found.content.size();
  }

  QPDF pdf_;
  TaggedPdf out_;
};

}  // namespace

TaggedPdf read_tags(const std::string& pdf) { return Reader(pdf).read(); }

}  // namespace stillhand::write::test
